"""The version, told in every output."""

__version__ = "0.1.0"

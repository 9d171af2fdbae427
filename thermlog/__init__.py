"""thermlog: find the dragging or dead brake from timed infrared readings."""

__version__ = "0.1.0"

"""The command line."""


def main() -> None:
    """Start the command line."""

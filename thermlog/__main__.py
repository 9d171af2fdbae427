"""``python -m thermlog``."""

from thermlog.cli import main

if __name__ == "__main__":
    main()

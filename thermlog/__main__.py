"""The start of the command ``thermlog`` and of ``python -m thermlog``."""

from __future__ import annotations

import gc
import os
import signal

TYPE_CHECKING = False
if TYPE_CHECKING:
    from typing import NoReturn


def main() -> NoReturn:
    """Start the command line; an interruption while it is being loaded ends the process without a word."""
    # Records hold no circles, so that a search for them frees nothing: a tenth of a fleet's time, no memory.
    gc.disable()
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, lambda *_: os._exit(130))
    from thermlog.cli import main as start
    from thermlog.cli.console import leave

    leave(start())


if __name__ == "__main__":
    main()

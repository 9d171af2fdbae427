"""What others than the superuser may do."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

NOBODY = 65534  # a user without rights, where the tests run as one who has all


@contextmanager
def without_rights() -> Iterator[None]:
    """The rights of files hold for everybody but the superuser."""
    if os.geteuid() != 0:
        yield
        return
    Path().chmod(0o755)
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)

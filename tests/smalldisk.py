"""A disk that is soon full."""

from __future__ import annotations

import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def small_disk_at(place: Path, size_kib: int) -> Iterator[Path]:
    """A new folder on a disk of that size; the test is skipped where none can be mounted."""
    place.mkdir()
    made = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={size_kib}k", "tmpfs", str(place)],  # noqa: S607 - wherever it lies
        capture_output=True,
        check=False,
    )
    if made.returncode != 0:
        pytest.skip("a small disk cannot be mounted here; run the tests where mount is allowed")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], capture_output=True, check=False)  # noqa: S607

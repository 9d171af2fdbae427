"""Copies of the evidence files with something changed in them."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from thermlog.advice import evidenceload

PINS = r"^  4  96 \| slide_pin_seized$"  # a row of check.pins_slide


def copied_evidence(folder: Path) -> Path:
    """The folder, with the three files in it."""
    for name in evidenceload.FILES:
        shutil.copy(Path(evidenceload.__file__).with_name(f"{name}.toml"), folder)
    return folder


def change(folder: Path, name: str, pattern: str, replacement: str) -> None:
    """The first match in one file replaced; it must be there."""
    text, count = re.subn(
        pattern, replacement, (folder / name).read_text(encoding="utf-8"), count=1, flags=re.M | re.S
    )
    assert count == 1
    (folder / name).write_text(text, encoding="utf-8")

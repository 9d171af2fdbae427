"""Write the tables of docs/log-format.md anew from what thermlog says: python bench/make_log_format.py."""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from troubles import renewed  # noqa: E402 - beside the tests

PAGE = ROOT / "docs" / "log-format.md"

if __name__ == "__main__":
    PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    print(f"{PAGE.name} written")

"""Tables that thermlog brings along: TOML files, which a wheel carries once more as JSON, read at once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pathlib import Path


def bundled(path: Path) -> dict[str, Any]:
    """Table of a TOML file of the package.

    Parameters
    ----------
    path : Path
        Of the TOML file; a checkout, where it is edited, reads it.
    """
    made = built_of(path)
    if made.is_file():
        from msgspec import json

        found: dict[str, Any] = json.decode(made.read_bytes())
        return found
    import tomllib

    return tomllib.loads(path.read_text(encoding="utf-8"))


def built_of(path: Path) -> Path:
    """Where a wheel has the same table as JSON (`hatch_build.py` makes it)."""
    return path.with_name(f"{path.name}.json")

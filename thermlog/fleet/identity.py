"""What a process judges with: only processes that are alike give results alike to the last digit."""

from __future__ import annotations

import hashlib
import sys
from functools import cache
from pathlib import Path

from thermlog.words.version import __version__

_PACKAGE = Path(__file__).parent.parent
_SHOWN = 12  # digits of a hash that are shown


@cache
def identity() -> dict[str, str]:
    """Versions of what a result hangs on, by name; plain text, so that any other version can read it.

    Returns
    -------
    dict of str
        Of thermlog its files, too: a version number alone says nothing of a checkout.
    """
    from importlib.metadata import version

    return {
        "thermlog": __version__,
        "files of thermlog": _hash_of_files()[:_SHOWN],
        "Python": f"{sys.version_info.major}.{sys.version_info.minor}",
        "numpy": version("numpy"),
        "distributed": version("distributed"),
    }


def _hash_of_files() -> str:
    found = sorted(path for ending in ("py", "toml") for path in _PACKAGE.rglob(f"*.{ending}"))
    whole = hashlib.sha256()
    for path in found:
        content = path.read_bytes()
        whole.update(f"{path.relative_to(_PACKAGE).as_posix()} {len(content)}\n".encode() + content)
    return whole.hexdigest()


def unlike(theirs: dict[str, str], ours: dict[str, str]) -> str | None:
    """How another process differs, in words; None if it does not.

    Examples
    --------
    >>> unlike({"thermlog": "0.2"}, {"thermlog": "0.1"}), unlike({}, {"numpy": "2.0"})
    ('thermlog 0.2, here 0.1', 'no numpy, here 2.0')
    """
    for name, version in ours.items():
        found = theirs.get(name)
        if found is None:
            return f"no {name}, here {version}"
        if found != version:
            return f"{name} {found}, here {version}"
    return None

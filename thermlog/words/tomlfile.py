"""A TOML file somebody wrote -> its table, or a refusal by name."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from thermlog.words.errors import ThermlogError


def read_toml(path: str | Path, *, refusal: type[ThermlogError], cure: str) -> dict[str, Any]:
    """Table of a TOML file.

    Parameters
    ----------
    path : str or Path
    refusal : type of ThermlogError
        What is raised.
    cure : str
        What to do about a file that cannot be read.

    Raises
    ------
    ThermlogError
        Of the kind `refusal`: the file cannot be read, or is no TOML.
    """
    return parse_toml(file_bytes(path, refusal=refusal, cure=cure), str(path), refusal=refusal, cure=cure)


def file_bytes(path: str | Path, *, refusal: type[ThermlogError], cure: str) -> bytes:
    """Content of a file somebody wrote; `cure` says what to do about one that cannot be read."""
    try:
        return Path(path).read_bytes()
    except (OSError, ValueError) as fault:  # a NUL in the name is a ValueError
        msg = f"{path!s}: {getattr(fault, 'strerror', None) or 'unreadable'}; {cure}"
        raise refusal(msg) from fault


def parse_toml(
    content: bytes, where: str, *, refusal: type[ThermlogError], cure: str = "mend the file"
) -> dict[str, Any]:
    """Table of the content of a TOML file; `where` names it in the refusal, `cure` says what to do."""
    import tomllib  # who reads logs alone does without

    try:
        return tomllib.loads(content.decode("utf-8"))
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        msg = f"{where}: not a TOML file: {fault}; {cure}"
        raise refusal(msg) from fault

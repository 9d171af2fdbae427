"""Objects of the contract -> JSON text, in letters that every terminal knows."""

from __future__ import annotations

import json
import re

import msgspec
from msgspec import Struct

_BEYOND_ASCII = re.compile(r"[^\x00-\x7e]")


def json_text(content: Struct | list[Struct]) -> str:
    """JSON text of an object or a list of them, for people to read too."""
    return _text(content, 2) + "\n"


def json_line(content: Struct) -> str:
    """JSON text of one object on one line."""
    return _text(content, 0)


def _text(content: Struct | list[Struct], indent: int) -> str:
    try:
        # a sentence is more than a plain text, hence the hook
        compact = msgspec.json.encode(content, enc_hook=str)
    except UnicodeEncodeError:  # the name of a file that is no text: written as Python reads it
        plain = msgspec.to_builtins(content, enc_hook=str)
        return json.dumps(plain, indent=indent or None, allow_nan=False)
    text = msgspec.json.format(compact, indent=indent).decode()
    return text if text.isascii() else _BEYOND_ASCII.sub(_escaped, text)


def _escaped(letter: re.Match[str]) -> str:
    return json.dumps(letter[0])[1:-1]

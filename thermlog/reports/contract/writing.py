"""Objects of the contract -> JSON text, in letters that every terminal knows."""

from __future__ import annotations

import codecs
import json

import msgspec
from msgspec import Struct

_IN_ASCII = "thermlog.json"  # how letters beyond ASCII are written
# a sentence is more than a plain text, hence the hook
_ENCODER = msgspec.json.Encoder(enc_hook=str)


def json_text(content: Struct | list[Struct]) -> str:
    """JSON text of an object or a list of them, for people to read too."""
    return _text(content, 2) + "\n"


def json_line(content: Struct) -> str:
    """JSON text of one object on one line."""
    return _text(content, 0)


def _text(content: Struct | list[Struct], indent: int) -> str:
    try:
        compact = _ENCODER.encode(content)
    except UnicodeEncodeError:  # the name of a file that is no text: written as Python reads it
        plain = msgspec.to_builtins(content, enc_hook=str)
        return json.dumps(plain, indent=indent or None, allow_nan=False)
    text = msgspec.json.format(compact, indent=indent).decode()
    if not text.isascii():
        text = text.encode("ascii", _IN_ASCII).decode()
    return text.replace("\x7f", "\\u007f") if "\x7f" in text else text  # to look alone is ten times as fast


def _escaped(fault: UnicodeError) -> tuple[str, int]:
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    return json.dumps(fault.object[fault.start : fault.end])[1:-1], fault.end


codecs.register_error(_IN_ASCII, _escaped)

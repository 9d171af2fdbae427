"""Bytes of a log to lines of text: compression, encoding, line ends; refuses what is no text."""

from __future__ import annotations

import io
import os
import sys
from contextlib import suppress
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reading.files.addresses import IS_FOLDER, is_address, opened
from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from _typeshed import SupportsRead

LARGEST_BYTES = 64 * 1024 * 1024  # some four million readings; bounds the memory a log can ask for
STANDARD_INPUT = "-"

_BOMS = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
_MAGIC = (
    (b"%PDF", "a PDF document"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"\xd0\xcf\x11\xe0", "an old-style .xls or .doc file"),
    (b"\x7fELF", "a program"),
    (b"SQLite format 3", "a database"),
)
_ZIP = b"PK\x03\x04"
_GZIP = b"\x1f\x8b"
_CONTROL = bytes([*range(1, 9), *range(14, 27), 28, 29, 30, 31])  # never in a text somebody typed
_SAMPLE = 4096
_CHUNK = 1 << 20
_WIDE_FIGURE = regular(r"[０-９]")
# Figures, letters, and what stands in numbers and times; no mark between cells.
_WIDE = {
    0x3000: " ",
    **{code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F) if chr(code) not in "，；｜"},
}
_FIRST_BYTES = frozenset(mark[0] for mark, _ in (*_BOMS, *_MAGIC))


class Decoded(Struct, frozen=True, kw_only=True):
    """Text of a log and how it was encoded.

    Attributes
    ----------
    text : str
        The whole text, without byte order mark.
    encoding : str
        Name for people, such as ``"UTF-8"``.
    notes : tuple of str
        What was assumed.
    """

    text: str
    encoding: str
    notes: tuple[str, ...] = ()


def read_bytes(path: str) -> bytes:
    """Content of a file, also of one at an address, or of standard input for ``-``.

    Raises
    ------
    LogRefusedError
        The file is missing, a folder, unreadable or larger than `LARGEST_BYTES`.
    """
    if "://" in path and is_address(path):
        with opened(path) as stream:
            content = _drained(stream)
    else:
        content = _local_bytes(path)
    if len(content) > LARGEST_BYTES:
        raise _too_large(path)
    return content


def _local_bytes(path: str) -> bytes:
    try:
        return _standard_input() if path == STANDARD_INPUT else _file_bytes(path)
    except FileNotFoundError:
        problem = "no such file; check the name and the folder"
        raise LogRefusedError(problem, code="no_file", file=path) from None
    except IsADirectoryError:
        raise LogRefusedError(IS_FOLDER, code="folder", file=path) from None
    except (OSError, ValueError) as fault:
        why = getattr(fault, "strerror", None) or str(fault)
        problem = f"cannot be opened ({why}); check the name and the rights"
        raise LogRefusedError(problem, code="no_access", file=path) from None


def hold_standard_input() -> None:
    """Take in standard input, which can be read once, so that whoever reads it later is told the same."""
    with suppress(OSError, ValueError):  # who reads it next is told of the same fault
        sys.stdin = io.TextIOWrapper(io.BytesIO(_standard_input()))


def _standard_input() -> bytes:
    """All of standard input; what is held is there from its beginning, however often it was read."""
    stream = sys.stdin.buffer
    return stream.getvalue() if isinstance(stream, io.BytesIO) else _drained(stream)


def _file_bytes(path: str) -> bytes:
    with io.FileIO(path) as stream:  # no buffer between: a fleet opens ten thousand of them
        size = os.fstat(stream.fileno()).st_size
        return stream.read(min(size, LARGEST_BYTES) + 1) if size else _drained(stream)


def _drained(stream: SupportsRead[bytes]) -> bytes:
    """Everything a pipe gives, up to a little over the limit."""
    parts, size = [], 0
    while size <= LARGEST_BYTES and (part := stream.read(_CHUNK)):
        parts.append(part)
        size += len(part)
    return b"".join(parts)


def _too_large(file: str) -> LogRefusedError:
    problem = f"larger than {LARGEST_BYTES // 1024**2} MiB; cut it into one file a vehicle"
    return LogRefusedError(problem, code="too_large", file=file)


def is_workbook(content: bytes) -> bool:
    """Tell whether the bytes are a zip container, as .xlsx files are."""
    return content.startswith(_ZIP)


def unpack(content: bytes, *, file: str) -> bytes:
    """Content without gzip compression, where there was any.

    Raises
    ------
    LogRefusedError
        The compressed data are damaged or would unpack to more than `LARGEST_BYTES`.
    """
    if not content.startswith(_GZIP):
        return content
    import gzip
    import zlib

    try:
        with gzip.GzipFile(fileobj=io.BytesIO(content)) as stream:
            plain = stream.read(LARGEST_BYTES + 1)
    except (OSError, EOFError, zlib.error):
        problem = "the gzip data are damaged or cut off; copy the file again"
        raise LogRefusedError(problem, code="damaged", file=file) from None
    if len(plain) > LARGEST_BYTES:
        raise _too_large(file)
    return plain


def decode(content: bytes, *, file: str, encoding: str | None = None) -> Decoded:
    """Text of a log from its bytes.

    The ladder: byte order mark, the zero-byte pattern of UTF-16, strict UTF-8, then Windows-1252 with a note.
    A statistical guess is not made: on short logs whose only special character is the degree sign it is
    wrong more often than this ladder.

    Parameters
    ----------
    content : bytes
        Uncompressed.
    file : str
        For messages.
    encoding : str, optional
        Set by the user; nothing is guessed then.

    Raises
    ------
    LogRefusedError
        Empty, binary, or not text in the encoding.
    """
    if not content or content.isspace():
        problem = "the file is empty; a log needs a header line and readings"
        raise LogRefusedError(problem, code="empty", file=file)
    return _of_plain_width(_decoded(content, file, encoding))


def _decoded(content: bytes, file: str, encoding: str | None) -> Decoded:
    if encoding is not None:
        return _decode_as(content, encoding, file)
    if content[0] in _FIRST_BYTES:
        for mark, codec in _BOMS:
            if content.startswith(mark):
                return _decode_as(content, codec, file)
        _refuse_known(content, file)
    return _without_mark(content, file)


def _of_plain_width(found: Decoded) -> Decoded:
    """The same with figures and letters as wide as others are, where a phone wrote them wide."""
    if found.text.isascii() or not _WIDE_FIGURE.search(found.text):
        return found
    note = "full-width figures and letters read as plain ones"
    return replace(found, text=found.text.translate(_WIDE), notes=(*found.notes, note))


def _without_mark(content: bytes, file: str) -> Decoded:
    head = content[:_SAMPLE]
    if b"\x00" in head and (codec := _utf16_by_zeros(head)):
        found = _decode_as(content, codec, file)
        return Decoded(
            text=found.text, encoding=found.encoding, notes=("read as UTF-16 by its pattern of zero bytes",)
        )
    _refuse_binary(head, file)
    try:
        return Decoded(text=content.decode("utf-8"), encoding="UTF-8")
    except UnicodeDecodeError:
        return _windows_1252(content, file)


def _windows_1252(content: bytes, file: str) -> Decoded:
    try:
        text = content.decode("cp1252")
    except UnicodeDecodeError as fault:
        line = content.count(b"\n", 0, fault.start) + 1
        problem = "neither UTF-8 nor Windows-1252 text; save it as UTF-8 or name its encoding with --encoding"
        raise LogRefusedError(
            problem,
            code="encoding",
            file=file,
            line=line,
            value=f"byte 0x{content[fault.start]:02X}",
        ) from None
    note = "not UTF-8; read as Windows-1252 (if letters look wrong, name the encoding with --encoding)"
    return Decoded(text=text, encoding="Windows-1252", notes=(note,))


def _utf16_by_zeros(head: bytes) -> str | None:
    """Codec of UTF-16 without a mark: nearly every second byte is zero, the others are not."""
    pairs = len(head) // 2
    even, odd = head[0 : 2 * pairs : 2].count(0), head[1 : 2 * pairs : 2].count(0)
    if pairs >= 2 and odd >= 0.7 * pairs and even <= 0.05 * pairs:
        return "utf-16-le"
    if pairs >= 2 and even >= 0.7 * pairs and odd <= 0.05 * pairs:
        return "utf-16-be"
    return None


def _refuse_known(content: bytes, file: str) -> None:
    for magic, what in _MAGIC:
        if content.startswith(magic):
            problem = f"this is {what}, not a text log; export the readings as CSV"
            raise LogRefusedError(problem, code="other_kind", file=file)


def _refuse_binary(head: bytes, file: str) -> None:
    strange = len(head) - len(head.translate(None, _CONTROL))
    if not strange and b"\x00" not in head:
        return
    if strange > 0.02 * len(head) or head.count(0) > 0.1 * len(head):
        problem = "binary data, not a text log; export the readings as CSV"
        raise LogRefusedError(problem, code="other_kind", file=file)


def _decode_as(content: bytes, codec: str, file: str) -> Decoded:
    try:
        text = content.decode(codec)
    except LookupError:
        problem = "no such encoding; try utf-8, utf-16, cp1252, cp850, latin-1 or mac-roman"
        raise LogRefusedError(problem, code="encoding", file=file, value=codec) from None
    except UnicodeError:
        problem = f"not text in {codec}; name the right encoding with --encoding"
        raise LogRefusedError(problem, code="encoding", file=file) from None
    name = {"utf-8-sig": "UTF-8 with byte order mark"}.get(codec, codec.upper())
    return Decoded(text=text.removeprefix("\ufeff"), encoding=name)


def split_lines(text: str) -> list[str]:
    r"""Lines of a text whatever its line ends, LF, CRLF, CR or a mixture; no final empty line.

    Examples
    --------
    >>> split_lines("a\r\nb\rc\n")
    ['a', 'b', 'c']
    """
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    if lines and not lines[-1]:
        lines.pop()
    return lines

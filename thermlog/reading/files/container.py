"""The zip container of a workbook: its parts, read piece by piece under a limit on all of them together."""

from __future__ import annotations

import io
import posixpath
import zipfile
import zlib
from collections.abc import Callable, Mapping
from typing import NoReturn
from xml.parsers import expat

from thermlog.words.errors import LogRefusedError, TroubleCode

MOST_UNPACKED_BYTES = 32 * 1024**2  # some 200 000 readings; a walk round has a hundred
_MOST_PARTS = 5_000
_MOST_TOKEN_BYTES = 2 * 1024**2  # one tag or one text; a cell holds 32 767 letters at most
_DEEPEST = 64  # elements within each other; a sheet needs seven
_CHUNK = 1 << 16
_ENTRY = b"PK\x01\x02"  # begins every entry of the list of parts
_METHODS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_OTHERS = (
    ("mimetype", "an OpenDocument file, such as .ods"),
    ("xl/workbook.bin", "an .xlsb workbook"),
    ("word/document.xml", "a text document"),
    ("ppt/presentation.xml", "a presentation"),
)


class Handlers:
    """What is done on the elements of a part; names come without their namespace."""

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        """Do what the start of an element asks for."""

    def text(self, text: str) -> None:
        """Take in text between tags."""

    def end(self, name: str) -> None:
        """Do what the end of an element asks for."""


class Container:
    """The parts of a workbook.

    Parameters
    ----------
    content : bytes
        A zip file.
    file : str
        For messages.

    Raises
    ------
    LogRefusedError
        It is damaged, locked with a password, or holds thousands of parts.
    """

    def __init__(self, content: bytes, *, file: str) -> None:
        self.file = file
        self._left = MOST_UNPACKED_BYTES
        if content.count(_ENTRY) > _MOST_PARTS:
            self.refuse(
                f"holds over {_MOST_PARTS} parts, which no workbook of a walk round does", "too_large"
            )
        try:
            self._archive = zipfile.ZipFile(io.BytesIO(content))
            entries = self._archive.infolist()
        except (zipfile.BadZipFile, ValueError, OSError) as fault:
            self.damaged(fault)
        self._entries = {_plain_name(entry.filename): entry for entry in entries}

    def refuse(self, problem: str, code: TroubleCode) -> NoReturn:
        """Refuse the whole workbook."""
        whole = f"{problem}; save the sheet as CSV"
        raise LogRefusedError(whole, code=code, file=self.file) from None

    def damaged(self, why: object) -> NoReturn:
        """Refuse what is no workbook."""
        self.refuse(f"not an .xlsx workbook that can be read ({why})", "damaged")

    def holds(self, part: str) -> bool:
        """True if there is such a part."""
        return part.lower() in self._entries

    def other(self) -> str | None:
        """What the container is where it is known to be no workbook."""
        return next((what for part, what in _OTHERS if self.holds(part)), None)

    def parts(self) -> int:
        """Number of parts."""
        return len(self._entries)

    def parse(self, part: str, handlers: Handlers) -> None:
        """Send the elements of a part to the handlers.

        Raises
        ------
        LogRefusedError
            The part is missing, damaged, no plain XML, or the workbook is a vast one.
        """
        entry = self._entries.get(part.lower())
        if entry is None:
            self.damaged(f"part {part} is missing")
        if entry.compress_type not in _METHODS:
            self.damaged(f"part {part} is packed in an unusual way")
        feed = self._feeder(part, handlers)
        try:
            with self._archive.open(entry) as stream:
                while piece := stream.read(_CHUNK):
                    self._left -= len(piece)
                    if self._left < 0:
                        self.refuse(f"unpacks to over {MOST_UNPACKED_BYTES // 1024**2} MiB", "too_large")
                    feed(piece)
                feed(None)
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, RuntimeError, ValueError) as fault:
            self.damaged(fault)  # a runtime error: the part is under a password
        except expat.ExpatError as fault:
            self.damaged(f"part {part}: {fault}")

    def _feeder(self, part: str, handlers: Handlers) -> Callable[[bytes | None], None]:
        """Parser of one part that neither expands entities nor takes endless tags or depths."""
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        depth = fed = 0
        local: dict[str, str] = {}  # names without their namespace: a sheet has millions of a dozen names

        def start(name: str, attributes: dict[str, str]) -> None:
            nonlocal depth
            depth += 1
            if depth > _DEEPEST:
                self.damaged(f"part {part}: elements over {_DEEPEST} deep within each other")
            handlers.start(local.get(name) or local.setdefault(name, _local(name)), attributes)

        def end(name: str) -> None:
            nonlocal depth
            depth -= 1
            handlers.end(local[name])

        def doctype(*_: object) -> None:
            self.damaged(f"part {part} declares entities, which no workbook needs")

        def feed(piece: bytes | None) -> None:  # None: that was all
            nonlocal fed
            parser.Parse(piece or b"", piece is None)
            fed += len(piece or b"")
            if fed - max(0, parser.CurrentByteIndex) > _MOST_TOKEN_BYTES:
                self.damaged(f"part {part}: a tag of over {_MOST_TOKEN_BYTES // 1024**2} MiB")

        parser.StartElementHandler = start
        parser.EndElementHandler = end
        parser.CharacterDataHandler = handlers.text
        parser.StartDoctypeDeclHandler = doctype
        return feed


def _local(name: str) -> str:
    return name.rpartition(" ")[2]


def _plain_name(name: str) -> str:
    return name.replace("\\", "/").lstrip("/").lower()


class Relations(Handlers):
    """Parts that a part refers to: id -> (kind, part)."""

    def __init__(self, of_part: str) -> None:
        self.found: dict[str, tuple[str, str]] = {}
        self._folder = posixpath.dirname(of_part)

    def start(self, name: str, attributes: Mapping[str, str]) -> None:
        """Take in one relation."""
        if name != "Relationship" or attributes.get("TargetMode") == "External":
            return
        target = attributes.get("Target", "").replace("\\", "/")
        part = posixpath.normpath(posixpath.join("/", self._folder, target)).lstrip("/")
        kind = attributes.get("Type", "").rpartition("/")[2]
        self.found[attributes.get("Id", "")] = (kind, part)


def relations_of(container: Container, part: str) -> dict[str, tuple[str, str]]:
    """Relations that a part states; of the container itself for an empty name.

    Raises
    ------
    LogRefusedError
        As for `Container.parse`.
    """
    folder, name = posixpath.split(part)
    place = posixpath.join(folder, "_rels", f"{name}.rels")
    found = Relations(part)
    if container.holds(place):
        container.parse(place, found)
    return found.found

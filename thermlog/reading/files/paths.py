"""Files, folders and patterns a user names -> the list of files, and a word about everything else."""

from __future__ import annotations

import glob
import os
import stat
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct, field

from thermlog.reading.files.addresses import address_head, entries, is_address, is_pattern, refuse_password
from thermlog.reading.files.rawtext import STANDARD_INPUT, read_bytes
from thermlog.words.errors import LogRefusedError, TroubleCode

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.reading.files.addresses import Located

_LOG_ENDINGS = (".csv", ".tsv", ".txt", ".csv.gz", ".tsv.gz", ".txt.gz", ".xlsx")
_BESIDE = ("._", "~$", ".~lock.")  # what systems and spreadsheet programs leave beside a file of like name
_HERE = os.path.join(os.curdir, "")  # noqa: PTH118
_LINKS = "links to folders"
_MOST_KINDS = 6


class PassedOver(Struct, kw_only=True):
    """Files of one ending that are no logs by it."""

    paths: list[str]

    @property
    def count(self) -> int:
        """How many."""
        return len(self.paths)

    @property
    def first(self) -> str:
        """The first of them."""
        return self.paths[0]


class PassedFiles(Struct, frozen=True, kw_only=True):
    """Files in folders that are no logs by their ending.

    Attributes
    ----------
    kind : str
        Ending, or in words why they are none.
    files : int
        How many.
    first : str
        Path of the first.
    """

    kind: str
    files: int
    first: str


class Expanded(Struct, kw_only=True):
    """What the paths a user named come to.

    Attributes
    ----------
    files : dict of str
        Each once, folders and patterns in sorted order; an ordered set.
    places : set of (str, str)
        Folder and name of these files, whatever they were called: ``x`` and ``./x`` are one file.
    folders : dict of str
        Folder as named -> where it lies.
    refused : list of LogRefusedError
        Folders that cannot be entered or hold no log, links that lead nowhere, pipes and devices in folders,
        patterns that match nothing.
    passed : dict
        Ending -> files in folders that are no logs by their ending.
    """

    files: dict[str, None] = field(default_factory=dict)
    places: set[tuple[str, str]] = field(default_factory=set)
    folders: dict[str, str] = field(default_factory=dict)
    refused: list[LogRefusedError] = field(default_factory=list)
    passed: dict[str, PassedOver] = field(default_factory=dict)

    def take(self, path: str) -> None:
        """Note a file, unless it was noted under another name; a link is a file of its own."""
        folder, name = os.path.split(path)
        if folder not in self.folders:
            self.folders[folder] = os.path.realpath(folder or os.curdir)
        place = self.folders[folder], name
        if place not in self.places:
            self.places.add(place)
            self.files[path] = None

    def refuse(self, path: str, problem: str, code: TroubleCode) -> None:
        """Note a path that cannot be read; the others go on."""
        self.refused.append(LogRefusedError(problem, code=code, file=path))

    def pass_over(self, ending: str, path: str) -> None:
        """Count a file that is no log by its ending."""
        self.passed.setdefault(ending, PassedOver(paths=[])).paths.append(path)

    def passed_by(self, ending: str) -> list[str]:
        """Files of one ending that were passed over."""
        known = self.passed.get(ending)
        return [] if known is None else list(known.paths)

    def refuse_passed(self, refusal: LogRefusedError) -> None:
        """Refuse a file that was passed over by its ending."""
        self.refused.append(refusal)
        for ending, known in list(self.passed.items()):
            if refusal.file in known.paths:
                known.paths.remove(refusal.file)
                if not known.paths:
                    del self.passed[ending]

    def passed_files(self) -> list[PassedFiles]:
        """What was passed over, for programs."""
        return [
            PassedFiles(kind=ending, files=kind.count, first=kind.first)
            for ending, kind in self.passed.items()
        ]

    def passed_words(self) -> str | None:
        """What was passed over, for people; None if nothing was.

        Examples
        --------
        >>> here = Expanded()
        >>> for name in ("a.xls", "b.xls", "notes"):
        ...     here.pass_over(os.path.splitext(name)[1], name)
        >>> here.passed_words()
        '3 files passed over, no logs by their ending: 2 .xls (first a.xls), 1 without ending (notes)'
        """
        if not self.passed:
            return None
        ranked = sorted(self.passed.items(), key=lambda kind: (-kind[1].count, kind[0]))
        named = [_kind_words(ending, kind) for ending, kind in ranked[:_MOST_KINDS]]
        if rest := ranked[_MOST_KINDS:]:
            named.append(f"{sum(kind.count for _, kind in rest)} of {len(rest)} more endings")
        total = sum(kind.count for kind in self.passed.values())
        files = "one file" if total == 1 else f"{total} files"
        return f"{files} passed over, no logs by their ending: {', '.join(named)}"


def _kind_words(ending: str, kind: PassedOver) -> str:
    first = kind.first if kind.count == 1 else f"first {kind.first}"
    return f"{counted_kind(kind.count, ending)} ({first})"


def counted_kind(count: int, kind: str) -> str:
    """A count of files that were passed over, with their kind.

    Examples
    --------
    >>> counted_kind(2, ".pdf"), counted_kind(1, ""), counted_kind(1, "links to folders")
    ('2 .pdf', '1 without ending', '1 link to a folder')
    """
    return f"{count} {'link to a folder' if count == 1 and kind == _LINKS else kind or 'without ending'}"


def expand_paths(paths: Sequence[str]) -> Expanded:
    """Files named by files, folders and patterns; nothing that is in the way stops the rest.

    Parameters
    ----------
    paths : sequence of str
        A file that does not exist stays in the list, so that it is reported as unreadable. A pipe or a device
        is taken where it is named itself, never where it lies in a folder. Addresses of servers and archives
        may name folders and patterns, too.
    """
    found = Expanded()
    for path in paths:
        if path == STANDARD_INPUT:
            found.files[path] = None
        elif is_address(path):
            _take_address(path, found)
        elif os.path.isdir(path):  # noqa: PTH112 - a Path refuses names too long for the system
            _take_folder(path, found)
        elif glob.has_magic(path) and not os.path.lexists(path):
            _take_pattern(path, found)
        else:
            found.take(path)
    return found


def _take_address(address: str, found: Expanded) -> None:
    """Files at an address: one, those of a folder, or what matches a pattern."""
    try:
        refuse_password(address)
        listed = entries(address)
        if listed is None:
            found.files[address] = None
            return
        before = len(found.refused), sum(kind.count for kind in found.passed.values())
        logs = dict.fromkeys(_logs_of(address, listed, found))
    except LogRefusedError as refusal:
        found.refused.append(refusal)
        return
    found.files |= logs
    if is_pattern(address) and not listed:
        found.refuse(address, "no file matches this pattern; check the address and the ending", "no_file")
    elif not logs and len(found.refused) == before[0]:
        found.refuse(address, _nothing_in_folder(found, before[1]), "no_log")


def _logs_of(address: str, listed: Sequence[Located], found: Expanded) -> Iterator[str]:
    """Logs among what an address comes to; a folder that matches is looked through unless ``**`` does so."""
    pattern = address_head(address) if is_pattern(address) else ""
    whole = not pattern or pattern.rpartition("/")[2] in {"*", "**"}
    said = {part for part in pattern.split("/") if part.startswith(".")}
    for one in listed:
        parts = one.name.split("/")
        if pattern and any(part.startswith(".") and part not in said for part in parts):
            continue  # hidden where the pattern does not say so
        if one.is_folder:
            if pattern and "**" not in pattern:
                yield from _logs_of(one.address, entries(one.address, below=True) or (), found)
        elif not whole or _may_be_log(parts[-1], one.address, found):
            yield one.address


def listed_paths(file: str) -> list[str]:
    """Paths from a list: one a line, or each ended by NUL where there is one; empty lines are none.

    Parameters
    ----------
    file : str
        ``-`` for standard input.

    Raises
    ------
    LogRefusedError
        The list cannot be read.
    """
    content = read_bytes(file)
    sign = b"\0" if b"\0" in content else b"\n"
    return [os.fsdecode(path) for line in content.split(sign) if (path := line.strip(b"\r\n"))]


def _take_folder(folder: str, found: Expanded) -> None:
    """Logs in a folder and all below it."""
    before = len(found.refused), sum(kind.count for kind in found.passed.values())
    logs = sorted(_logs_below(str(Path(folder)), found))
    for log in logs:
        found.take(log)
    if logs or len(found.refused) > before[0]:
        return
    found.refuse(folder, _nothing_in_folder(found, before[1]), "no_log")


def _nothing_in_folder(found: Expanded, passed_before: int) -> str:
    beside = sum(kind.count for kind in found.passed.values()) - passed_before
    others = f" among {beside} other files" if beside > 1 else ""
    return f"no log in this folder{others}; logs end in {', '.join(_LOG_ENDINGS)}"


def _logs_below(folder: str, found: Expanded) -> Iterator[str]:
    """Logs in a folder and below; what else lies there is noted. Links to folders are not followed."""
    pending = [folder]
    while pending:
        top = pending.pop()
        try:
            with os.scandir(top) as listing:
                entries = list(listing)
        except OSError as fault:
            problem = f"this folder cannot be looked into ({fault.strerror})"
            found.refuse(str(fault.filename), problem, "no_access")
            continue
        folders: list[os.DirEntry[str]] = []
        others: list[os.DirEntry[str]] = []
        for entry in entries:
            (folders if _is_folder(entry) else others).append(entry)
        for linked in filter(os.DirEntry.is_symlink, folders):
            found.pass_over(_LINKS, linked.path.removeprefix(_HERE))
        yield from _logs_among(others, top, found)
        pending += [entry.path for entry in reversed(folders) if not entry.is_symlink()]


def _logs_among(entries: Sequence[os.DirEntry[str]], folder: str, found: Expanded) -> Iterator[str]:
    """Logs among what lies in a folder and is none itself."""
    told = os.path.isdir(os.path.join(folder, os.curdir))  # noqa: PTH112, PTH118 - else none can be reached
    for entry in entries:
        path = entry.path.removeprefix(_HERE)
        if _may_be_log(entry.name, path, found) and (
            (told and _is_plain_file(entry)) or _is_file(path, found)
        ):
            yield path


def _is_folder(entry: os.DirEntry[str]) -> bool:
    """True also for a link to one; False for a link that goes round in circles."""
    try:
        return entry.is_dir()
    except OSError:
        return False


def _is_plain_file(entry: os.DirEntry[str]) -> bool:
    """True for what the listing of its folder knows to be a file: no more has to be asked of the system."""
    try:
        return entry.is_file()
    except OSError:
        return False


def _may_be_log(name: str, path: str, found: Expanded) -> bool:
    lower = name.lower()
    if lower.endswith(_LOG_ENDINGS) and not lower.startswith(_BESIDE):
        return True
    kind = "left by other programs" if lower.startswith(_BESIDE) else os.path.splitext(lower)[1]  # noqa: PTH122
    found.pass_over(kind, path)
    return False


def _is_file(path: str, found: Expanded) -> bool:
    """True for a file, also one behind a link; what else stands there under the name of a log is refused."""
    try:
        mode = os.stat(path).st_mode  # noqa: PTH116 - as above
    except OSError as fault:
        link = "a link that leads nowhere" if os.path.islink(path) else "cannot be reached"  # noqa: PTH114
        found.refuse(path, f"{link} ({fault.strerror}); remove it, or put the log there", "no_access")
        return False
    if not stat.S_ISREG(mode):
        kind = "a pipe" if stat.S_ISFIFO(mode) else "a device or a socket"
        found.refuse(path, f"{kind}, not a file; name it itself if a log comes through it", "not_a_file")
        return False
    return True


def _no_match(pattern: str) -> str:
    """Why a pattern matches nothing: it may stand in a folder that nobody may look into."""
    parts = Path(pattern).parts
    plain = next(k for k, part in enumerate(parts) if glob.has_magic(part))
    folder = Path(*parts[:plain])
    try:
        next(folder.iterdir(), None)
    except FileNotFoundError:
        return f"no file matches this pattern; there is no folder {folder}"
    except OSError as fault:
        return f"the folder {folder} cannot be looked into ({fault.strerror})"
    return "no file matches this pattern; check the folder and the ending"


def _matches(pattern: str) -> list[str]:
    """What matches a pattern, in order. ``**`` follows no links: a link to a folder above would never end."""
    if "**" not in pattern:
        return sorted(glob.glob(pattern))  # noqa: PTH207 - absolute patterns, and no hidden files
    parts = Path(pattern).parts
    plain = next(k for k, part in enumerate(parts) if glob.has_magic(part))
    below = [*parts[plain:], "*"] if parts[-1] == "**" else parts[plain:]
    found = Path(*parts[:plain]).glob(str(Path(*below)))
    return sorted(str(path) for path in found if not _hidden(path.parts[plain:], parts[plain:]))


def _hidden(parts: tuple[str, ...], pattern: tuple[str, ...]) -> bool:
    """True for what lies hidden where the pattern does not say so."""
    said = {part for part in pattern if part.startswith(".")}
    return any(part.startswith(".") and part not in said for part in parts)


def _take_pattern(pattern: str, found: Expanded) -> None:
    """Files that match a pattern; a folder that matches is looked through unless the pattern does so."""
    matches = _matches(pattern)
    whole = os.path.basename(pattern) in {"*", "**"}  # noqa: PTH119
    if not matches:
        found.refuse(pattern, _no_match(pattern), "no_file")
    for path in matches:
        if os.path.isdir(path):  # noqa: PTH112
            if "**" not in pattern:
                _take_folder(path, found)
        elif (not whole or _may_be_log(os.path.basename(path), path, found)) and _is_file(path, found):  # noqa: PTH119
            found.take(path)

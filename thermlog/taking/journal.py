"""The file of a walk: one writer, every line flushed to the disk before it counts."""

from __future__ import annotations

import fcntl
import os
from contextlib import suppress

from thermlog.taking.entries import Entry, refuse_impossible_air
from thermlog.taking.journaltext import Resumed, entry_lines, head_text, read_journal
from thermlog.taking.stopwatch import ParkedMark
from thermlog.taking.walking import WalkHead, WalkInProgress
from thermlog.words.errors import OutputError, WalkError

_LARGEST = 4 << 20  # bytes: far beyond what a walk of the most entries fills


class Journal:
    """An open journal; nothing else writes to its file meanwhile.

    Attributes
    ----------
    path : str
    walk : WalkInProgress
        What stands in the file.
    mark : ParkedMark or None
        The stop on all clocks.
    """

    def __init__(self, path: str, number: int, state: Resumed) -> None:
        self.path = path
        self.walk: WalkInProgress = state.walk
        self.mark: ParkedMark | None = state.mark
        self._number = number
        self._lines, self._count, self._next = state.lines, state.count, state.count + 1

    @classmethod
    def begin(cls, path: str, head: WalkHead) -> Journal:
        """Begin a walk in a new file.

        Raises
        ------
        WalkError
            There is a file of this name, or it cannot be written.
        OutputError
            The disk takes no more.
        """
        number = _opened(path, os.O_CREAT | os.O_EXCL)
        begun = cls(path, number, Resumed(walk=WalkInProgress(head=head)))
        begun._write(head_text(head))
        _keep_name(path)
        return begun

    @classmethod
    def go_on(cls, path: str) -> Journal:
        """Go on with a walk that was begun; what a fault of power left of a last line becomes a note.

        Raises
        ------
        WalkError
            The file is no journal of ours, was changed, or another program writes to it.
        """
        number = _opened(path, 0)
        try:
            with open(number, "rb", closefd=False) as file:
                content = file.read(_LARGEST + 1)
            state = read_journal(_text(content, path), file=path)
            begun = cls(path, number, state)
            if state.torn:
                os.ftruncate(number, len(content) - len(state.torn.encode()))
                begun._write(f"# note: a line was left unfinished and holds no reading: {state.torn!a}\n")
        except BaseException:
            os.close(number)
            raise
        return begun

    def append(self, entry: Entry, *, mark: ParkedMark | None = None) -> bool:
        """Keep an entry; when this returns, it is on the disk.

        Parameters
        ----------
        entry : Entry
        mark : ParkedMark, optional
            The stop on all clocks; always with an entry of that kind.

        Returns
        -------
        bool
            False where the entry is there already.

        Raises
        ------
        WalkError
            It cannot be of this walk.
        OutputError
            The disk takes no more; nothing is kept of it, and it can be entered again.
        """
        refuse_impossible_air(entry, self.walk.head.unit)
        if not self.walk.add(entry):
            return False
        try:
            self._write(entry_lines(entry, lines=self._lines, walk=self.walk, mark=mark or self.mark))
        except BaseException:
            del self.walk.entries[entry.key]
            raise
        self._lines[entry.key] = self._next
        if mark is not None:
            self.mark = mark
        return True

    def close(self) -> None:
        """Let others write."""
        with suppress(OSError):
            os.close(self._number)

    def _write(self, text: str) -> None:
        data = text.encode("utf-8", "replace")
        size = os.fstat(self._number).st_size
        try:
            if os.write(self._number, data) < len(data):
                raise OSError(0, "no space left")  # noqa: TRY301 - told like any other refusal of the disk
            os.fsync(self._number)
        except OSError as fault:
            with suppress(OSError):
                os.ftruncate(self._number, size)
            why = fault.strerror or fault
            msg = f"{self.path}: this entry is not kept: {why}; make room, then enter it again"
            raise OutputError(msg) from fault
        self._next = self._count + 1
        self._count += text.count("\n")


def _opened(path: str, how: int) -> int:
    try:
        number = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CLOEXEC | os.O_NOFOLLOW | how, 0o644)
    except FileExistsError:
        msg = f"{path}: exists; name a new file"
        raise WalkError(msg) from None
    except OSError as fault:
        msg = f"{path}: cannot be written: {fault.strerror}; name a file in a folder of yours"
        raise WalkError(msg) from fault
    try:
        fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(number)
        msg = f"{path}: another thermlog writes to it now; end that one, or name another file"
        raise WalkError(msg) from None
    return number


def _text(content: bytes, path: str) -> str:
    if len(content) > _LARGEST:
        msg = f"{path}: larger than any walk; name another file"
        raise WalkError(msg)
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as fault:
        line = content[: fault.start].count(b"\n") + 1
        msg = f"{path}, line {line}: not UTF-8, so not as thermlog wrote it; check the log as it is"
        raise WalkError(msg) from fault


def _keep_name(path: str) -> None:
    """The name of a new file is on the disk, too."""
    with suppress(OSError):
        folder = os.open(os.path.dirname(os.path.abspath(path)), os.O_RDONLY)  # noqa: PTH100, PTH120
        try:
            os.fsync(folder)
        finally:
            os.close(folder)

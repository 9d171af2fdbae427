"""``--history`` of the commands that judge: checks are kept, and the result is printed whatever happens."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
from msgspec import Struct

from thermlog.cli.files import complain, tell
from thermlog.cli.given import StatedOption
from thermlog.cli.options import exit_zero_option, gathered
from thermlog.words.sentences import counted, few_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence
    from typing import Any

    from thermlog.fleet.defects import Defect
    from thermlog.history.filing import Dealt
    from thermlog.history.recollection import Watermark
    from thermlog.history.store import History
    from thermlog.pipeline.recalled import Recalling
    from thermlog.words.errors import HistoryError
    from thermlog.words.visits import Visit

_FEW = 3  # names in one line


class Remembering(Struct, frozen=True, kw_only=True):
    """What is left when a command ends: memory and record of what it judged, and its exit code."""

    history: str | None
    filing: str | None
    exit_zero: bool


def ending_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """``--history ADDRESS``, ``--filing FILE`` and ``--exit-zero`` as one argument ``ending``."""
    history = click.option(
        "--history",
        cls=StatedOption,
        metavar="ADDRESS",
        help="Remember every check here, and let earlier drives of a vehicle count: a file, made where there "
        "is none, or postgresql://USER@HOST/NAME.",
    )
    filing = click.option(
        "--filing",
        metavar="FILE",
        help="Write a record of every defect that was called too, with what the history knows of it: .csv or "
        ".json.",
    )
    return gathered("ending", Remembering, (history, filing, exit_zero_option))(command)


def recalling(address: str | None) -> Recalling:
    """The way to the earlier visits of the vehicles in a history; nothing is stored.

    Raises
    ------
    HistoryError
        There is no such history, or no way to it.
    """
    from thermlog.pipeline.recalled import nobody_asked

    if address is None:
        return nobody_asked
    from thermlog.history.recall import Recall
    from thermlog.history.store import History
    from thermlog.pipeline.settings import history_patience_s

    history = History.open(address, make=False, wait_s=history_patience_s())
    try:
        return Recall.of(history)
    finally:
        history.close()


class Keeper:
    """Keeps checks in a history while a command goes on; says at the end what became of them.

    Parameters
    ----------
    address : str or None
        None: nothing is kept.

    Raises
    ------
    HistoryError
        There is no way to that history: better told before anything is judged.
    """

    def __init__(self, address: str | None) -> None:
        self._history: History | None = None
        self._new = self._known = self._changed = self._lost = self._unremembered = 0
        self._ahead: list[str] = []
        self._before: list[str] = []
        self._behind = False
        self._began: Watermark | None = None
        self._trouble: HistoryError | None = None
        if address is not None:
            from thermlog.history.store import History
            from thermlog.pipeline.settings import history_patience_s

            self._history = History.open(address, make=True, wait_s=history_patience_s())

    @property
    def keeps(self) -> bool:
        """True if there is a history."""
        return self._history is not None

    def recalling(self) -> Recalling:
        """The way to the earlier visits of the vehicles, up to this moment."""
        from thermlog.pipeline.recalled import nobody_asked

        if self._history is None:
            return nobody_asked
        from thermlog.history.recall import Recall

        recall = Recall.of(self._history)
        self._began = recall.upto
        return recall

    def add(self, visits: Iterable[Visit], unremembered: HistoryError | None = None) -> None:
        """Store some visits; after the first failure none are tried any more, so that nobody waits again.

        Parameters
        ----------
        visits : iterable of Visit
        unremembered : HistoryError, optional
            Why they were judged without what was driven before: such checks are not stored.
        """
        from thermlog.words.errors import HistoryError

        some = list(visits)
        if self._history is None or not some:
            return
        if unremembered is not None:
            self._trouble = self._trouble or unremembered
            self._unremembered += len(some)
        if self._trouble is not None:
            self._lost += len(some)
            return
        from thermlog.history.store import free_circles

        try:
            added = self._history.add(some, self._began)
        except HistoryError as trouble:
            self._trouble, self._lost = trouble, len(some)
            return
        free_circles()
        self._new += added.new
        self._known += added.known
        self._changed += added.changed
        self._ahead += added.ahead
        self._before += added.before
        self._behind |= added.clock_behind

    def dealt_with(self, defects: Sequence[Defect]) -> Dealt | None:
        """What the history knows of some defects; None where there is none, or where it cannot be asked."""
        from thermlog.words.errors import HistoryError

        if self._history is None or self._trouble is not None:
            return None
        try:
            return self._history.dealt_with(defects)
        except HistoryError as trouble:
            self._trouble = trouble
            return None

    def close(self) -> bool:
        """Say what was stored; True if all was."""
        if self._history is None:
            return True
        self._history.close()
        before = f", {self._known} stood there before" if self._known else ""
        if self._changed:
            before += f", {self._changed} of them now with today's answers, for more is known than then"
        tell(f"history {self._history.shown}: {counted(self._new, 'check')} stored{before}")
        self._tell_clocks()
        if self._trouble is None:
            return True
        complain(self._trouble)
        if self._unremembered:
            tell(
                f"{self._unremembered} of the drives above were judged without the earlier drives of their "
                "vehicles, which could not be read"
            )
        lost = f"{counted(self._lost, 'check')} {'was' if self._lost == 1 else 'were'}"
        tell(
            f"{lost} not stored; the result above is whole, and running the same command "
            "again stores what is missing and nothing twice"
        )
        return False

    def _tell_clocks(self) -> None:
        """What cannot be right, or may not, about the order of visits."""
        if self._ahead:
            tell(
                f"taken later than this computer's clock: {few_of(self._ahead, _FEW)}; one of the clocks is "
                "wrong, and visits are put in order by them"
            )
        if self._before:
            tell(
                f"dated before a drive of the same vehicle that stood there: {few_of(self._before, _FEW)}; "
                "put in order by their dates, so mend the date if a clock went back; the drives after them "
                "were answered without them: give their logs once more"
            )
        if self._behind:
            tell(
                "this computer's clock stands before the last check stored; logs without a date keep the "
                "order in which they were stored"
            )

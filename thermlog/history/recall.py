"""The past of the vehicles that are judged now, asked of a history by whichever process judges them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.history.recollection import Watermark
from thermlog.history.store import History, free_circles
from thermlog.pipeline.recalled import Recalled
from thermlog.words.errors import HistoryError
from thermlog.words.vehicle import unit_key
from thermlog.words.visits import Past

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.words.tables import Case


class Recall(Struct, kw_only=True, eq=False):
    """The way to a history, which is asked for the past of some cases; another process can be given it.

    Attributes
    ----------
    address : str
        As `address.engine_of` takes it.
    wait_s : float
        How long to wait for others that are writing [s].
    upto : Watermark
        Where the history stood when the command began; what the command itself judges counts by its dates.
    trouble : HistoryError or None
        Why the history cannot be asked any more; nobody waits for it twice. It alone changes: a way that led
        nowhere once stays closed.
    """

    address: str
    wait_s: float
    upto: Watermark
    trouble: HistoryError | None = None

    @classmethod
    def of(cls, history: History) -> Recall:
        """What is remembered up to this moment."""
        return cls(address=history.address, wait_s=history.wait_s, upto=history.watermark())

    def __call__(self, cases: Sequence[Case]) -> Recalled:
        """Earlier visits of the vehicles of these cases; or why the history cannot be asked.

        Parameters
        ----------
        cases : sequence of Case
        """
        if self.trouble is None:
            try:
                return Recalled(past=self._past(cases))
            except HistoryError as trouble:
                self.trouble = trouble
        return Recalled(trouble=self.trouble)

    def _past(self, cases: Sequence[Case]) -> Past:
        units = sorted({unit_key(case.vehicle) for case in cases if case.vehicle is not None})
        if not units or not (self.upto.checks or self.upto.jobs):
            return Past(units={})
        logs = sorted({case.log.sha256 for case in cases if case.vehicle is not None})
        past = self._asked(units, logs)
        free_circles()
        return past

    def _asked(self, units: Sequence[str], logs: Sequence[str]) -> Past:
        history = History(self.address, wait_s=self.wait_s)
        try:
            return history.past(units, self.upto, logs)
        finally:
            history.close()

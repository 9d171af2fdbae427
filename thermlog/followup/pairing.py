"""Which drive is set against which: like against like, where the logs hold several each."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from thermlog.words.estimates import Estimate, change
from thermlog.words.findings import Diagnosis


class Paired(Struct, frozen=True, kw_only=True):
    """Drives that are set against each other, by their places among all.

    Attributes
    ----------
    pairs : tuple of (int, int)
        Earlier and later drive; at least one pair, the last of all logs in the last one.
    now : tuple of int
        The drives that count now: all of the last log.
    unlike : bool
        True for drives of several vehicles: nothing changes from one to another.
    """

    pairs: tuple[tuple[int, int], ...]
    now: tuple[int, ...]
    unlike: bool = False

    def reference(self, k: int) -> int:
        """The drive that changes of drive `k` are taken against."""
        return next((first for first, last in self.pairs if last == k), 0)

    def changes(self, found: Sequence[Estimate | None]) -> tuple[Estimate | None, ...]:
        """Each estimate minus the one it is set against; None for the first, and between vehicles."""
        if self.unlike:
            return (None,) * len(found)
        against = (found[self.reference(k)] for k in range(1, len(found)))
        return (None, *(change(was, now) for was, now in zip(against, found[1:], strict=True)))


def paired(diagnoses: Sequence[Diagnosis], *, unlike: bool = False) -> Paired:
    """Set each drive of the last log against the like one of the first.

    Parameters
    ----------
    diagnoses : sequence of Diagnosis
        In the order of the drives, those of one log behind each other.
    unlike : bool
        True where they are not of one vehicle.

    Returns
    -------
    Paired
        Where no drive has its like, the last one against the first, as with one drive a log.
    """
    ends = [len(diagnoses) - 1]
    first, last = _drives_of(diagnoses, 0), _drives_of(diagnoses, ends[0])
    if first == last:  # one log with several drives: they are what is compared
        return Paired(pairs=((0, ends[0]),), now=(ends[0],), unlike=unlike)
    like = [
        (one, other)
        for other in last
        if (one := next((k for k in first if _alike(diagnoses[k], diagnoses[other])), None)) is not None
    ]
    if len(first) == len(last) == 1 or not like:
        like = [(0, ends[0])]
    return Paired(pairs=tuple(like), now=tuple(last), unlike=unlike)


def _drives_of(diagnoses: Sequence[Diagnosis], place: int) -> list[int]:
    """Drives of the same log and vehicle."""
    keys = [(one.log.file, one.log.sha256, one.vehicle) for one in diagnoses]
    return [k for k, key in enumerate(keys) if key == keys[place]]


def _alike(one: Diagnosis, other: Diagnosis) -> bool:
    """True for two drives with braking, or two without."""
    return (one.drive == "coast") == (other.drive == "coast")

"""What is known of earlier visits of vehicles, and who can be asked for it once the vehicles are known."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, TypeAlias

from msgspec import Struct

if TYPE_CHECKING:
    from thermlog.words.errors import HistoryError
    from thermlog.words.tables import Case
    from thermlog.words.visits import Past


class Recalled(Struct, frozen=True, kw_only=True):
    """What a history told of some vehicles.

    Attributes
    ----------
    past : Past or None
        Their earlier visits; None where nobody was asked, or nobody can tell.
    trouble : HistoryError or None
        Why nobody can tell.
    """

    past: Past | None = None
    trouble: HistoryError | None = None

    def __call__(self, cases: Sequence[Case]) -> Recalled:  # noqa: ARG002 - it was asked for these
        """The same: who has no way to the history is given the answer instead."""
        return self


Recalling: TypeAlias = "Callable[[Sequence[Case]], Recalled]"


def nobody_asked(cases: Sequence[Case]) -> Recalled:  # noqa: ARG001 - whatever they are
    """Where there is no history."""
    return Recalled()

"""What somebody noted beside the readings, and no rule understands."""

from __future__ import annotations

from msgspec import Struct

from thermlog.words.bounds import CornerName


class Unweighed(Struct, frozen=True, kw_only=True):
    """A remark in free words of which thermlog understands nothing: a person has to weigh it.

    Attributes
    ----------
    line : int
        Line in the file where it stands first.
    text : str
        As written.
    corner : str or None
        The wheel it stands beside; None where it stands beside none, or beside several.
    of_brakes : bool
        True if it speaks of a wheel, a brake or a stop: then nobody keeps the log as a record before it is
        weighed.
    """

    line: int
    text: str
    corner: CornerName | None = None
    of_brakes: bool = False

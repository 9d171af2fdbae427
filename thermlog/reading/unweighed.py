"""Remarks that no rule understands: named to whoever reads the answers, who has to weigh them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.aimed import noted_miss, noted_spot
from thermlog.reading.beheld import said_of_remark
from thermlog.reading.blind import cases_of
from thermlog.reading.cells import count_words
from thermlog.reading.namedaxles import axles_told
from thermlog.reading.remarks.alarms import speaks_of_braking, weighs
from thermlog.reading.remarks.sights import sees_nothing, tells_no_more
from thermlog.reading.remarks.signs import is_marked
from thermlog.reading.remarks.wornsaid import worn_said
from thermlog.reading.sifted import StepResult
from thermlog.reading.spoken import corners_spoken_of
from thermlog.reading.statements import names_key
from thermlog.words.noted import Unweighed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.observations import Remark
    from thermlog.reading.sifted import Sifted

_MOST = 100  # of a case; who keeps more writes no remarks but records


def unweighed_by_case(work: Sifted) -> StepResult[Sequence[tuple[Unweighed, ...]]]:
    """What remarks say beyond what thermlog understands, each once a wheel, case by case."""
    found: list[dict[tuple[str, str | None], Unweighed]] = [{} for _ in work.cases.keys]
    for remark in work.seen.remarks:
        if remark.strict or _is_understood(remark.text):
            continue
        text, corner = " ".join(remark.text.split()), _corner(work, remark)
        said = said_of_remark(remark.text)
        of_brakes = speaks_of_braking(said, at_wheel=corner is not None) or worn_said(said)
        of_brakes |= weighs(said) or names_key(said, "spot")
        for case in cases_of(work, remark.row):
            fresh = Unweighed(line=remark.line, text=text, corner=corner, of_brakes=of_brakes)
            found[case].setdefault((text.casefold(), corner), fresh)
    left = sum(max(len(mine) - _MOST, 0) for mine in found)
    notes = [f"{count_words(left, 'more remark')} not weighed and not named"] if left else []
    return StepResult(found=[tuple(mine.values())[:_MOST] for mine in found], notes=notes)


def _is_understood(text: str) -> bool:
    said = said_of_remark(text)
    if is_marked(said) and not sees_nothing(said):
        return False
    if (
        axles_told(said) or said.lower() == said.upper() or sees_nothing(said)
    ):  # no word in it, or that there is nothing to say
        return True
    return noted_miss(text) or noted_spot(text) is not None or tells_no_more(text)


def _corner(work: Sifted, remark: Remark) -> str | None:
    """The one wheel a remark is about, named or that of its row."""
    spoken = corners_spoken_of(work, remark, said_of_remark(remark.text))
    return spoken[0] if len(spoken) == 1 else None

"""What several pages say of a vehicle and its drive: its name, its air, when and by whom it was read."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.pages.shown import Dual, alike, in_both, lines_in_both, seen
from thermlog.reports.summary import first_page_of, headline_parts, page_of, said_all
from thermlog.reports.wording import air_words, moment
from thermlog.words.moments import moment_shown
from thermlog.words.sentences import on_page
from thermlog.words.vehicle import BRAKE_SPOTS

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.fleet.workrow import FleetRow
    from thermlog.words.findings import CornerFinding, Diagnosis
    from thermlog.words.reasons import Reason

_MOST_NAME = 160  # letters of a name in a heading; the whole of it stands among the raw data


def named_vehicle(name: str | None) -> str:
    """A vehicle for a heading."""
    return seen(name, _MOST_NAME) if name else "Vehicle not named"


def brake_finding(told: Diagnosis, corner: str) -> CornerFinding | None:
    """What was found at a corner's brake, at the first spot of it that was read."""
    return next((one for one in told.corners if one.corner == corner and one.spot in BRAKE_SPOTS), None)


def about(told: Diagnosis) -> tuple[Dual, ...]:
    """Drive, air, moment, and when, by whom and with what it was read."""
    taken = told.taken
    by = (moment_shown(taken.start or ""), taken.by, taken.gun) if taken else ()
    drive = alike(f"{told.drive} drive" if told.drive else "drive not stated")
    at = f"compared {moment(told)}" if told.common_time_s is not None else moment(told)
    return (drive, about_air(told), *(alike(seen(one, 60)) for one in (at, *filter(None, by))))


def about_air(told: Diagnosis) -> Dual:
    """Air temperature and who stated it."""
    return in_both(lambda show: air_words(told.ambient_degc, told.ambient_source, show))


def reasons_in_both(told: Diagnosis, reasons: tuple[Reason, ...]) -> tuple[Dual, ...]:
    """Reasons in words, each once, in both units."""
    return lines_in_both(lambda show: said_all(reasons, page_of(told, show)))


def told_parts(told: Diagnosis) -> tuple[tuple[str | None, Dual], ...]:
    """The headline, part by part: state and words."""
    both = zip(headline_parts(told, show="C"), headline_parts(told, show="F"), strict=True)
    return tuple((c.state, Dual(seen(c.words), seen(f.words))) for c, f in both)


def first_caution(told: Diagnosis) -> Dual:
    """The first caution: what is urgent, where anything is."""
    return in_words(told, told.cautions[0] if told.cautions else "")


def on_pages(told: Diagnosis, texts: Iterable[str]) -> tuple[Dual, ...]:
    """Sentences in words, in both units."""
    return tuple(in_words(told, text) for text in texts)


def in_words(told: Diagnosis | FleetRow, text: str) -> Dual:
    """One sentence in words, in both units."""
    return in_both(lambda show: str(on_page(text, first_page_of(told, show))))

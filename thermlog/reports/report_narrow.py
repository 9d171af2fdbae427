"""Where the search for a cause stands -> text, one screen of it, and JSON."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from thermlog.advice.candidates import BRAKE_KIND, PARKING_HERE, gates, known_answers
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.suspects import NO_SINGLE_CAUSE
from thermlog.advice.twice import AGAIN
from thermlog.followup.jobrecord import NO_FAULT
from thermlog.reports.contract.writing import json_text
from thermlog.reports.summary import first_page_of, headline
from thermlog.reports.wording import SCREEN_LINES, STANDING_WORDS, WIDEST, Show, printable
from thermlog.words.sentences import capital, on_page

if TYPE_CHECKING:
    from thermlog.advice.choosing import Ending
    from thermlog.advice.evidence import AnsweredBy
    from thermlog.advice.narrowing import Narrowed
    from thermlog.followup.jobproof import JobVerification
    from thermlog.followup.jobrecord import JobRecord
    from thermlog.words.findings import Diagnosis, Suspect

ENDINGS: dict[Ending, str] = {
    "settled": "One cause is left. Confirm it before parts are fitted; then drive again and compare.",
    "no_fault": (
        "No fault is likeliest: nothing is fitted. Mark like spots on both sides, make that drive again with "
        "work for every brake, read again: only this proves it."
    ),
    "inseparable": "No check tells these causes apart further; look first where looking costs least.",
    "contradiction": "The answers fit no single cause: two faults, or a reading or an answer that is off.",
    "no_check": "No further check can be made now.",
    "wait": "Nobody works at the wheel and nobody drives before it has cooled.",
    "no_cause": "No fault is established, so there is no cause to look for yet.",
    "turned_free": "What was watched here turns freely by hand. What else the log leaves open is next.",
    "repair_entered": (
        "What was found or fitted is entered. Where pedal, brakes and tyres are sound make that drive again, "
        "read every wheel, and compare it with --job and this record: only this proves it."
    ),
    "proven": (
        "The drive after the repair was even again: no check is left in this job. Even temperatures screen, "
        "they clear nothing."
    ),
}
_WHERE: dict[AnsweredBy, str] = {
    "driver": "Asked of the driver",
    "gun": "With the gun",
    "seat": "From the seat, or under the bonnet",
    "ground": "On the ground",
    "lift": "Lifted",
    "wheel_off": "Wheel or drum off",
}
_ALL = 99
# Causes, reasons of the first, and the card of the next check: less and less, until it fits a screen.
_DETAIL = (
    (_ALL, _ALL, True),
    (3, _ALL, True),
    (3, 2, True),
    (3, 2, False),
    (3, 1, False),
    (2, 0, False),
    (1, 0, False),
)
_ON_SCREEN = 3  # causes


def narrow_json(narrowed: Narrowed, diagnosis: Diagnosis, record: JobRecord | None) -> str:
    """JSON text of where the search stands, and of what its record holds; places are corner codes."""
    from thermlog.reports.contract.narrow import NarrowObject

    return json_text(NarrowObject.of(narrowed, diagnosis, record))


def narrow_text(
    narrowed: Narrowed,
    diagnosis: Diagnosis,
    *,
    show: Show = "C",
    width: int | None,
    record: JobRecord | None = None,
) -> str:
    """Text of where the search stands: finding, causes with their reasons, what was asked, what is next.

    Parameters
    ----------
    narrowed : Narrowed
    diagnosis : Diagnosis
        Of the log.
    show : {"C", "F"}
    width : int or None
        Columns of a terminal that the text must not scroll: as many reasons and causes as it can hold.
    record : JobRecord, optional
        Of the job, if one is kept.
    """
    page = first_page_of(diagnosis, show)
    narrowed = on_page(narrowed, page)
    top = f"FINDING   {headline(on_page(diagnosis, page), show=show)}"
    kept = [] if record is None else _kept(record)
    if width is None:
        return _told(narrowed, top, kept, _DETAIL[0])
    told = [_told(narrowed, top, kept, detail) for detail in _DETAIL]
    broken = (_at_width(text, width, indent) for indent in (10, 0) for text in told)
    return next((text for text in broken if text.count("\n") <= SCREEN_LINES), told[-1])


def checks_text() -> str:
    """Every check that can be asked, by where it is made, with its answers, and every cause."""
    table = evidence_table()
    lines: list[str] = []
    for source, where in _WHERE.items():
        lines += ["", where] if lines else [where]
        for key, asked in table.observations.items():
            if asked.source == source:
                lines += [f"  {key}  {asked.title} ({asked.minutes:.0f} min)"]
                lines += [f"      {key}={answer}  {words}" for answer, words in asked.answers.items()]
    lines += ["", "What is fitted, and what stands before other checks"]
    for key in (BRAKE_KIND, PARKING_HERE, *gates()):
        lines += [f"  {key}", *(f"      {key}={answer}" for answer in known_answers(key) or ())]
    lines += ["", "Causes, for --cause", f"  {NO_FAULT}  nothing was wrong"]
    lines += [f"  {key}  {cause.name}" for key, cause in table.causes.items()]
    return "\n".join(map(printable, lines)) + "\n"


def _at_width(text: str, width: int, indent: int) -> str:
    """The text with its lines broken between words, what follows indented by so many columns."""
    lines = (
        wrap(line, width, subsequent_indent=" " * indent, break_on_hyphens=False)
        for line in text.splitlines()
    )
    return "\n".join(one for some in lines for one in some or [""]) + "\n"


def _told(narrowed: Narrowed, top: str, kept: list[str], detail: tuple[int, int, bool]) -> str:
    """All of it, or the first causes and the first reasons of the first cause, by one of `_DETAIL`."""
    causes, reasons, how = detail
    shown = _suspects(narrowed, causes, reasons)
    lines = [
        top,
        *_apart(narrowed),
        *([""] if shown else []),
        *shown,
        *_so_far(narrowed),
        *kept,
        *_remedy(narrowed),
        *_next(narrowed, how=how),
    ]
    return "\n".join(map(printable, lines)) + "\n"


def _kept(record: JobRecord) -> list[str]:
    """What was entered in the record of the job beside the answers; nothing where that is nothing."""
    cause = evidence_table().causes.get(record.cause or "")
    found = {
        "by": record.by,
        "complaint": record.complaint,
        "found": "no fault" if record.cause == NO_FAULT else cause.name if cause else record.cause,
        "fitted": ", ".join(record.parts),
        "measured": ", ".join(record.measured),
    }
    found |= {name: f"{one.outcome} ({one.file})" for name, one in drives_after(record)}
    since = ", ".join(record.parts_since)
    found["parts entered since that drive"] = since and f"{since}; enter the drive made with them"
    return [f"RECORD    {name}: {said}" for name, said in found.items() if said]


def drives_after(record: JobRecord) -> list[tuple[str, JobVerification]]:
    """The drives after the repair, oldest first, each with its name; counted where there are several."""
    count = len(record.verifications)
    return [
        ("drive after the repair" if count == 1 else f"drive {k} of {count} after the repair", one)
        for k, one in enumerate(record.verifications, start=1)
    ]


def _apart(narrowed: Narrowed) -> list[str]:
    """Which of several suspects this search is about, and how the others are searched."""
    if narrowed.about is None:
        return []
    then = (f"THEN      {one.words}: the same command with --at {one.at}" for one in narrowed.others)
    return [f"ABOUT     {narrowed.about.words}, nothing else", *then]


def _suspects(narrowed: Narrowed, causes: int, reasons: int) -> list[str]:
    """Causes with their reasons: of the first all that are allowed, of the others none once that is few."""
    lines = []
    for rank, one in enumerate(narrowed.suspects[:causes], start=1):
        most = reasons if rank == 1 or reasons == _ALL else 0
        lines.append(f"  {rank}  {one.name} | {one.place} | {STANDING_WORDS[one.standing]}")
        lines += [f"       for: {reason}" for reason in one.for_[:most]]
        lines += [f"       against: {reason}" for reason in one.against[:most]]
    return lines


def _so_far(narrowed: Narrowed) -> list[str]:
    """What was answered and skipped, and why the search has ended."""
    lines = []
    if narrowed.found:
        asked = ", ".join(f"{one.check}={one.answer}" for one in narrowed.found)
        lines += ["", f"ANSWERED  {asked}{_about(narrowed.minutes)}"]
    lines += [f"DIFFERS   {line}" for line in differing_lines(narrowed)]
    lines += [f"CAUTION   {line}" for line in narrowed.cautions]
    if narrowed.skipped:
        lines.append(f"SKIPPED   {', '.join(narrowed.skipped)}")
    return [*lines, "", f"RESULT    {ENDINGS[narrowed.ending]}"] if narrowed.ending else lines


def differing_lines(narrowed: Narrowed) -> list[str]:
    """Checks that had another answer the second time, as sentences."""
    asked, told = evidence_table().observations, {one.check: one.answer for one in narrowed.found}
    return [
        f"{asked[check].title}: first {asked[check].answers[told[check]]}, "
        f"then {asked[check].answers[told[check + AGAIN]]}; it counts for neither."
        for check in narrowed.differs
    ]


def _remedy(narrowed: Narrowed) -> list[str]:
    """What is done about the one cause that is left, and what is looked at with it."""
    one = narrowed.remedy
    if one is None:
        return []
    return [f"DO        {one.do}", f"LOOK AT   {one.also}", f"CAUTION   {one.safety}"]


def _next(narrowed: Narrowed, *, how: bool) -> list[str]:
    check = narrowed.check
    if check is None:
        return []
    lines = ["", f"NEXT      {check.question}{_about(check.minutes)}"]
    if how:
        lines += [f"          {narrowed.how}"] if narrowed.how else []
        lines += [f"          {check.id}={one.id}: {one.words}; {one.means}" for one in narrowed.answers]
    return [*lines, f"CAUTION   {check.safety}"]


def _about(minutes: float) -> str:
    """How long checks take; nothing of a gate, whose minutes are counted with what follows."""
    return f" (about {minutes:.0f} min)" if minutes > 0 else ""


def screen(narrowed: Narrowed, diagnosis: Diagnosis, *, show: Show, width: int) -> str:
    """One screen of at most 24 lines: the causes, the question, a key for each answer.

    Cautions, the question and the answers stand in full; what they mean and how it is done as far as there is
    room.

    Parameters
    ----------
    narrowed : Narrowed
        With a check.
    diagnosis : Diagnosis
    show : {"C", "F"}
    width : int
        Columns of the terminal.
    """
    page = first_page_of(diagnosis, show)
    narrowed, wide = on_page(narrowed, page), min(width - 1, WIDEST)
    above = _cut(headline(on_page(diagnosis, page), show=show), wide, 2)
    above += _known(narrowed, wide)
    if narrowed.ending:
        above += _cut(ENDINGS[narrowed.ending], wide, 2)
    check = narrowed.check
    if check is None:
        return "\n".join(above)
    above += ["", *_whole(f"{check.question}{_about(check.minutes)}", wide)]
    caution = _whole(f"Caution: {check.safety}", wide)
    room = SCREEN_LINES - len(above) - len(caution) - 1
    how = _whole(narrowed.how, wide)
    for choices in (_choices(narrowed, wide, means=True), _choices(narrowed, wide, means=False)):
        if len(how) + len(choices) <= room:
            break
    how = _cut(narrowed.how, wide, max(room - len(choices), 0))
    return "\n".join([*above, *how, *caution, *choices, "  s  cannot do it now   b  back   q  stop here"])


def _known(narrowed: Narrowed, wide: int) -> list[str]:
    """Which suspect it is about, its causes, what is forbidden in full, and which checks differ."""
    causes = (f"- {_short(one)} ({STANDING_WORDS[one.standing]})" for one in narrowed.suspects[:_ON_SCREEN])
    lines = [line for text in (*_apart(narrowed), *causes) for line in _cut(text, wide, 1)]
    lines += [line for text in narrowed.cautions for line in _whole(text, wide)]
    return lines + [line for text in differing_lines(narrowed) for line in _cut(text, wide, 1)]


def _choices(narrowed: Narrowed, wide: int, *, means: bool) -> list[str]:
    """A key for each answer, with what it means in full, or in what is left of its line."""
    lines: list[str] = []
    for key, choice in enumerate(narrowed.answers, start=1):
        text = f"  {key}  {printable(choice.words)}: {printable(choice.means)}"
        whole = wrap(text, wide, subsequent_indent=" " * 5)
        lines += whole if means else _cut(text, wide, 1)
    return lines


def _short(one: Suspect) -> str:
    """A cause in as few words as a line of the screen holds."""
    known = evidence_table().causes.get(one.cause)
    return NO_SINGLE_CAUSE if known is None else capital(known.short)


def _whole(text: str, wide: int) -> list[str]:
    return wrap(printable(text), wide) if text else []


def _cut(text: str, wide: int, most: int) -> list[str]:
    """The text in so many lines at most; what does not fit ends in dots, and stands in full in the record."""
    lines = _whole(text, wide) if most else []
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], lines[most - 1][: wide - 4] + " ..."]

"""The words of a comparison of drives, for its chart and its report."""

from __future__ import annotations

from pathlib import PurePath

from thermlog.followup.outcomes import BY_WEIGHT, Outcome
from thermlog.followup.proof import ComparedAxle, Comparison
from thermlog.reports.chartwords import clipped, policy_words, short_name
from thermlog.reports.summary import ANSWER_WORDS, first_page_of, headline, page_of, part_words
from thermlog.reports.wording import VERDICT_WORDS, Show, degrees, difference_with_range, weighed_by_hand
from thermlog.words.findings import STANDING_OUT, AnswerWord, Diagnosis, Verdict
from thermlog.words.reasons import ReasonCode
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.sentences import Page, capital, on_page
from thermlog.words.vehicle import HUB_SPOT, axle_words, corner_words
from thermlog.words.version import __version__

SCREENED = (
    "Even temperatures screen, they clear nothing: the work itself is checked by the service information."
)
# Words that claim no more than two walks show.
OUTCOME_WORDS: dict[Outcome, str] = {
    "new_fault": "NEW FAULT",
    "new_watch": "new, to be watched",
    "not_repaired": "NOT REPAIRED",
    "cannot_tell": "cannot tell if even again",
    "better": "better, not shown to be even yet",
    "repaired": "even again",
    "not_asked": "",
}
# What the sign and the border of an outcome stand for; a fault that is cold has those of cold.
_STATES: dict[Outcome, Verdict] = {
    "new_fault": "hot", "new_watch": "watch", "not_repaired": "hot", "cannot_tell": "cannot_tell",
    "better": "watch", "repaired": "even", "not_asked": "even",
}  # fmt: skip
_HOT_NOW: frozenset[ReasonCode] = frozenset(
    {"new_fault", "found_hot", "new_hub", "found_hub", "still_hot", "still_hub", "new_all_hot",
     "found_all_hot", "still_all_hot"}
)  # fmt: skip
_OF_ALL: frozenset[ReasonCode] = frozenset(
    {"new_all_hot", "new_all_warm", "found_all_hot", "found_all_warm", "still_all_hot", "still_all_warm"}
)
_COLD_NOW: frozenset[ReasonCode] = frozenset({"now_idle", "found_cold", "still_cold"})
_ANSWERS: dict[AnswerWord, str] = ANSWER_WORDS | {"watch": "perhaps, watch it", "yes": "YES"}
_NEW: frozenset[Outcome] = frozenset({"new_fault", "new_watch"})
_NOT_READ: frozenset[ReasonCode] = frozenset({"not_read", "one_side_read", "no_value", "no_brake_read"})
_STOP = "STOP DRIVING"
_NAME_LENGTH = 24
# Worse than anything that was not read, or stood out before.
_STANDS_NOW: frozenset[Outcome] = frozenset({"new_fault", "new_watch", "not_repaired"})
_MOST_STOPS = 2  # of what stopped the vehicle before, in a headline


def log_names(diagnoses: tuple[Diagnosis, ...]) -> tuple[str, ...]:
    """Short names that tell the logs apart: file, else vehicle, else drive, else a number.

    Returns
    -------
    tuple of str (logs,)
        All different.
    """
    stems = tuple(PurePath(short_name(one.log.file, most=200)).stem for one in diagnoses)
    vehicles = tuple(one.vehicle or "" for one in diagnoses)
    drives = tuple(f"{one.drive} drive" if one.drive else "" for one in diagnoses)
    told = tuple(f"{stem}, {one.drive}" for stem, one in zip(stems, diagnoses, strict=True))
    short = tuple(clipped(stem, _NAME_LENGTH) for stem in stems)
    fitting = [names for names in (stems, vehicles, drives, told) if max(map(len, names)) <= _NAME_LENGTH]
    for names in (*fitting, short):
        if all(names) and len(set(names)) == len(names):
            return names
    return tuple(f"log {k}" for k in range(1, len(diagnoses) + 1))


def key_line(names: tuple[str, ...]) -> str:
    """Which number is which log, for the labels of a chart; the last one is drawn dark and heavy."""
    named = [f"{number} {name}" for number, name in enumerate(names, start=1)]
    return f"{' · '.join(named)} (dark lines)"


def drawn_line(names: tuple[str, ...], *, hatched: bool, grey: bool) -> str:
    """What the areas of a chart of several drives are; empty without any."""
    parts = (
        f"hatched: a healthy brake in drive {len(names)}, given the others there" if hatched else "",
        "grey: 95 % of each curve" if grey else "",
    )
    return " · ".join(filter(None, parts))


def axle_head(axle: ComparedAxle, axle_count: int) -> str:
    """Name of the axle and, where a repair is asked about, the outcome."""
    name = capital(axle_words(axle.axle, axle_count))
    words = OUTCOME_WORDS[axle.outcome]
    return f"{name}: {words}" if words else name


def outcome_state(axle: ComparedAxle) -> Verdict:
    """What the sign and the border of an axle's outcome stand for: of a fault what it is called, or was."""
    state, codes = _STATES[axle.outcome], {reason.code for reason in axle.reasons}
    if state != "hot" or codes & _HOT_NOW:
        return state
    if codes & _COLD_NOW:
        return "cold"
    told = (axle.verdicts[k] for k in reversed(axle.pair))
    return next((one for one in told if one in STANDING_OUT), state)


def axle_lines(
    axle: ComparedAxle, comparison: Comparison, names: tuple[str, ...], show: Show
) -> tuple[str, ...]:
    """Left minus right of every log, one short line each, the change, and why, where anything is in question.

    Parameters
    ----------
    axle : ComparedAxle
    comparison : Comparison
        It is part of; nothing changes from one vehicle to another.
    names : tuple of str (logs,)
    show : {"C", "F"}
    """
    unit = degrees(show)
    lines = [
        f"left minus right {difference_with_range(one, show)} {unit}, {name}"
        for one, name in zip(axle.differences_k, names, strict=True)
        if one is not None
    ]
    changed = axle.changes_k[axle.pair[1]]
    if changed is not None:
        lines.append(f"change {difference_with_range(changed, show)} {unit}")
    if axle.asked and axle.outcome != "repaired":
        lines += why_lines(axle, show, comparison.axle_count)
    return tuple(lines)


def why_lines(
    axle: ComparedAxle, show: Show, axle_count: int | None, *, below_axle: int | None = None
) -> tuple[str, ...]:
    """The reasons of an outcome in words, in the page's unit; each said once."""
    said = on_page(axle.why, Page(unit=show, axle_count=axle_count, below_axle=below_axle))
    return tuple(dict.fromkeys(map(str, said)))


def urgent_cautions(comparison: Comparison, show: Show) -> tuple[str, ...]:
    """The cautions of what is urgent in the drives that count: one a code, and they come first there."""
    page = page_of(comparison, show)
    return tuple(
        f"{name}{line}"
        for name, one in counting_names(comparison)
        for line in on_page(one, page).cautions[: len({urgent.code for urgent in one.urgent})]
    )


def now_lines(comparison: Comparison, names: tuple[str, ...]) -> tuple[str, ...]:
    """What the drives that count answer, which stands whatever became of an earlier fault."""
    if comparison.unlike is not None:
        return tuple(f"{name}{_answered(one)}" for name, one in counting_names(comparison))
    named = zip(names, comparison.diagnoses, strict=True)
    counting = comparison.counting
    return tuple(
        f"{name}: {_answered(one)}" for name, one in named if any(one is other for other in counting)
    )


def _answered(one: Diagnosis) -> str:
    drag, idle, heat = one.answers.each
    asked = (("does a brake drag", drag), ("does one not work", idle))
    said = [f"{question}? {_ANSWERS[answer.answer]}" for question, answer in asked]
    return "; ".join([*said, f"all too hot? {_ANSWERS[heat.answer]}"] if heat.suspects else said)


def remark_lines(comparison: Comparison) -> tuple[str, ...]:
    """Remarks of the drives that count that no rule understands, each for a person to weigh."""
    return tuple(f"{name}{line}" for name, one in counting_names(comparison) for line in weighed_by_hand(one))


def next_steps(comparison: Comparison, show: Show) -> tuple[str, ...]:
    """What to do, with its minutes: one line, or one a vehicle that asks for a look."""
    page = first_page_of(comparison, show)
    if comparison.unlike is not None and comparison.asking:
        asking = [one for one in counting_names(comparison) if one[1] in comparison.asking]
        steps = [(name, one.next_check) for name, one in asking]
    else:
        steps = [("", comparison.next_check)]
    said = tuple(
        f"{name}{on_page(step.question, page)} (about {step.minutes:.0f} min)"
        for name, step in steps
        if step is not None
    )
    return said or ("Keep both logs, and read this vehicle again at the next service.",)


def lacking_lines(comparison: Comparison, show: Show) -> tuple[str, ...]:
    """What the log does not state of the repair, where something else is to be done first."""
    step = comparison.next_check
    if comparison.to_state is None or (step is not None and step.id == "state_repair"):
        return ()
    page = first_page_of(comparison, show)
    return (str(on_page(comparison.to_state, page)),)


def counting_names(comparison: Comparison) -> list[tuple[str, Diagnosis]]:
    """The drives that count, each behind its name and a colon where they are not of one vehicle."""
    if comparison.unlike is None:
        return [("", one) for one in comparison.counting]
    names = zip(log_names(comparison.diagnoses), comparison.diagnoses, strict=True)
    return [(f"{name}: ", one) for name, one in names]


def comparison_headline(comparison: Comparison, names: tuple[str, ...], show: Show) -> str:
    """What the comparison says in one sentence, with numbers and units; what is urgent or new comes first."""
    if comparison.unlike is not None:
        each = (f"{name}{headline(one, show=show)}" for name, one in counting_names(comparison))
        return "; ".join([reason_sentence(comparison.unlike), *each])
    if comparison.backwards:
        return _head_of_newest(comparison, show)
    said = _said_of_axles(comparison, names, show)
    before = [f"{capital(line)}." for line in stopped_lines(comparison, show)[:_MOST_STOPS]]
    lacking = (*_watched_lines(comparison, show), *_unread_lines(comparison, show))
    beside = [*(f"{capital(line)}." for line in lacking), *before]
    if beside and any(axle.outcome in _STANDS_NOW for axle in comparison.axles):
        ordered = [f"{said}.", *beside]
    else:
        ordered = [*beside, said]
    return " ".join([*([f"{_STOP}."] if comparison.urgent else []), *ordered])


def _said_of_axles(comparison: Comparison, names: tuple[str, ...], show: Show) -> str:
    """What became of each axle in question, the gravest in full."""
    if not comparison.axles:
        return f"{names[0]} beside {names[-1]}: no axle was read in both"
    told = _telling_axle(comparison)
    rest = [
        f"{_place_of(axle, comparison)} {OUTCOME_WORDS[axle.outcome]}"
        for axle in comparison.axles
        if axle.asked and axle is not told and not (_is_of_all(axle) and _is_of_all(told))
    ]
    return "; ".join([_head_of(told, comparison, names, show), *dict.fromkeys(rest)])


def _is_of_all(axle: ComparedAxle) -> bool:
    """True where nothing of this axle alone is told, only the heat of the whole vehicle."""
    return axle.reasons[:1] != () and axle.reasons[0].code in _OF_ALL


def _place_of(axle: ComparedAxle, comparison: Comparison) -> str:
    return "the whole vehicle" if _is_of_all(axle) else axle_words(axle.axle, comparison.axle_count)


def _head_of_newest(comparison: Comparison, show: Show) -> str:
    """What the drive that was made last says by itself, where the logs stand the wrong way round."""
    newest = PurePath(comparison.last.log.file).name
    said = headline(comparison.last, show=show)
    return f"The wrong way round: nothing is proven. By the later drive alone, {newest}: {said}"


def _watched_lines(comparison: Comparison, show: Show) -> tuple[str, ...]:
    """Parts beside the brakes that are watched in the drives that count: even brakes say nothing of them."""
    page = first_page_of(comparison, show)
    parts = (part for one in comparison.counting for part in one.parts_above)
    return tuple(dict.fromkeys(f"{part_words(part, page)} now" for part in parts))


def _unread_lines(comparison: Comparison, show: Show) -> tuple[str, ...]:
    """What was not read in the drives that count: it comes before anything that is even again."""
    reasons = (
        reason for one in comparison.counting for answer in one.answers.each for reason in answer.reasons
    )
    said = (reason_sentence(reason) for reason in reasons if reason.code in _NOT_READ)
    page = page_of(comparison, show)
    return tuple(dict.fromkeys(str(on_page(line, page)) for line in said))


def stopped_lines(comparison: Comparison, show: Show) -> tuple[str, ...]:
    """What stopped the vehicle on an earlier drive, with what has become of it."""
    said = on_page(comparison.stopped, page_of(comparison, show))
    return tuple(map(str, said))


def _was(gap: str, unit: str) -> str:
    return "was not read before" if gap == "-" else f"was {gap} {unit}"


def _is_now(gap: str, unit: str) -> str:
    return "cannot be told now: a side was not read" if gap == "-" else f"is now {gap} {unit}"


def _head_of(axle: ComparedAxle, comparison: Comparison, names: tuple[str, ...], show: Show) -> str:
    name, unit = capital(axle_words(axle.axle, comparison.axle_count)), degrees(show)
    first, last = (difference_with_range(one, show) for one in (axle.differences_k[k] for k in axle.pair))
    names = tuple(names[k] for k in axle.pair)
    if not axle.asked:
        differing = _differing(comparison, axle.pair, names)
        gaps = f"left minus right {first} {unit} in {names[0]}, {last} {unit} in {names[-1]}"
        place = axle_words(axle.axle, comparison.axle_count) if differing else name
        return "; ".join([*differing, f"{place}: {gaps}"])
    head = (
        capital(OUTCOME_WORDS[axle.outcome]) if _is_of_all(axle) else f"{name} {OUTCOME_WORDS[axle.outcome]}"
    )
    by_gap = any(reason.code.startswith("gap_") for reason in axle.reasons)
    if by_gap and axle.outcome not in _NEW:
        return f"{head}: left minus right {_was(first, unit)}, {_is_now(last, unit)}"
    return f"{head}: {why_lines(axle, show, comparison.axle_count)[0]}"


def _differing(comparison: Comparison, pair: tuple[int, int], names: tuple[str, ...]) -> list[str]:
    """Brakes that are told otherwise in the last log than in the first, where no repair is asked about."""
    told: dict[tuple[str, str], list[str]] = {}
    for corner in comparison.corners:
        first, last = (corner.verdicts[k] for k in pair)
        if first is None or last is None or first == last or corner.spot == HUB_SPOT:
            continue
        place = corner_words(corner.corner, comparison.axle_count)
        told.setdefault((VERDICT_WORDS[last], VERDICT_WORDS[first]), []).append(place)
    if not told:
        return (
            [f"The brakes are found in {names[-1]} as they were in {names[0]}"] if comparison.corners else []
        )
    return [
        f"{capital(' and '.join(places))} {last} in {names[-1]}, {first} in {names[0]}"
        for (last, first), places in told.items()
    ]


def _telling_axle(comparison: Comparison) -> ComparedAxle:
    """The axle with the gravest outcome; of two alike the one that changed most."""

    def lightness(axle: ComparedAxle) -> tuple[int, float]:
        changes = [abs(one.value) for one in axle.changes_k if one is not None]
        return BY_WEIGHT.index(axle.outcome), -max(changes, default=0.0)

    return min(comparison.axles, key=lightness)


def below_headline(comparison: Comparison, names: tuple[str, ...]) -> str:
    """Vehicles, how the logs are aligned, and what else a reader must know."""
    vehicles = dict.fromkeys(clipped(one.vehicle, 120) for one in comparison.diagnoses if one.vehicle)
    return " · ".join([*vehicles, *alignment(comparison, names), *comparison.notes])


def alignment(comparison: Comparison, names: tuple[str, ...]) -> list[str]:
    """What the times count from, a sentence each."""
    unknown = [name for one, name in zip(comparison.diagnoses, names, strict=True) if not one.parked_known]
    if not unknown:
        return ["aligned at the parked moment"]
    return [f"parked moment not stated: {', '.join(unknown)}, aligned at the first reading"]


def comparison_footer(comparison: Comparison) -> str:
    """Files, policy and tool, so that a printed chart can be traced."""
    files = dict.fromkeys(
        f"{short_name(one.log.file, most=40)} {one.log.sha256[:12]}" for one in comparison.diagnoses
    )
    policies = dict.fromkeys(policy_words(one) for one in comparison.diagnoses)
    return " · ".join([*files, *policies, f"thermlog {__version__}", "bands and ranges: 95 %"])

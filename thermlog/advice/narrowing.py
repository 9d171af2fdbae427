"""One check after another: what was found at the wheel joins what the log says, until one cause is left."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.allowed import refuse_answer, refuse_unknown_check
from thermlog.advice.apart import suspect_words
from thermlog.advice.board import BY_HEAT
from thermlog.advice.candidates import (
    COOL_FIRST,
    ON_STANDS,
    WAIT,
    Candidate,
    with_answer,
)
from thermlog.advice.cautions import of_faults
from thermlog.advice.choosing import Choice, Ending, choose, is_confirmed, would_confirm
from thermlog.advice.doing import BY_THE_BOOK, doing
from thermlog.advice.evidence import CardOn
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.heat import hottest_degc, is_too_hot_to_touch
from thermlog.advice.holding import caged_first, has_worked, holding_words
from thermlog.advice.information import check_of, cooled_question, cooling_min
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.nextcheck import clear_and_wait, next_check
from thermlog.advice.search import Search, advanced, begun, standing_min
from thermlog.advice.situations import brake_parts
from thermlog.advice.suspects import ranked
from thermlog.advice.twice import differing, first_time, is_again
from thermlog.advice.watched import Searched, drags_by_hand, searched
from thermlog.advice.weighing import cause_weights
from thermlog.words.errors import OptionError
from thermlog.words.findings import Answer, NextCheck, Suspect
from thermlog.words.reasons import Reason
from thermlog.words.sentences import degc, sentence

# Short, so that every check fits one screen.
_COOL_HERE = "First by the gun: below {} where it is touched ({} was read). {}"
_NOT_NEAR = "Not driven, and nobody nearer to a wheel than the gun needs, until it has cooled."


class Found(Struct, frozen=True, kw_only=True):
    """The answer to one check.

    Attributes
    ----------
    check, answer : str
        Names as `Narrowed` gives them.
    """

    check: str
    answer: str


class AnswerMeaning(Struct, frozen=True, kw_only=True):
    """One answer that the next check can have.

    Attributes
    ----------
    id : str
        What `Found.answer` is.
    words : str
        The answer as a mechanic would say it.
    means : str
        What it would point to.
    """

    id: str
    words: str
    means: str


class SearchedPlace(Struct, frozen=True, kw_only=True):
    """One of several suspects, each of which is searched by itself.

    Attributes
    ----------
    at : str
        A brake of it, by which it is chosen (``--at``).
    words : str
        Where it is, and what it does.
    """

    at: str
    words: str


class Remedy(Struct, frozen=True, kw_only=True):
    """What is done about the one cause that is left: its card.

    Attributes
    ----------
    cause : str
        Its name, for programs.
    do : str
        What to do; defers to the service information.
    also : str
        What else to look at.
    safety : str
        What the fault forbids until then, and how to work safely.
    """

    cause: str
    do: str
    also: str
    safety: str


class Narrowed(Struct, frozen=True, kw_only=True):
    """Where the search for the cause stands.

    Attributes
    ----------
    suspects : tuple of Suspect
        Causes, the likeliest first, with the answers that speak for and against each.
    check : NextCheck or None
        The next one; None where the search has ended.
    how : str
        How the check is done.
    answers : tuple of AnswerMeaning
        What it can show. Empty for a reading or a drive that the log asks for.
    ending : Ending or None
        Why the search has ended; "contradiction" may stand beside a check.
    minutes : float
        Spent on the checks so far, as the cards say.
    found : tuple of Found
    skipped : tuple of str
        Checks that could not be done now.
    differs : tuple of str
        Checks that were made twice and had two answers: they speak for no cause any more.
    cautions : tuple of str
        What an answer forbids, whatever cause is the likeliest.
    about : SearchedPlace or None
        What the search is about, where several suspects are called; None where there is one.
    others : tuple of SearchedPlace
        The other suspects, the severer first: searches of their own.
    remedy : Remedy or None
        Where one cause is left.
    """

    suspects: tuple[Suspect, ...]
    check: NextCheck | None
    how: str = ""
    answers: tuple[AnswerMeaning, ...] = ()
    ending: Ending | None = None
    minutes: float = 0.0
    found: tuple[Found, ...] = ()
    skipped: tuple[str, ...] = ()
    differs: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    about: SearchedPlace | None = None
    others: tuple[SearchedPlace, ...] = ()
    remedy: Remedy | None = None


def narrow(
    evidence: LogEvidence,
    found: Sequence[Found] = (),
    skipped: Sequence[str] = (),
    *,
    at: str | None = None,
) -> Narrowed:
    """Where the search for the cause of one suspect stands after some answers.

    Parameters
    ----------
    evidence : LogEvidence
    found : sequence of Found
        In the order they were found; a later answer to the same check replaces the earlier. A check that is
        made a second time has its name with ``_again``.
    skipped : sequence of str
        Checks not to be asked now; one that has an answer is not skipped.
    at : str, optional
        A brake or an axle of the suspect; without it the severest.

    Returns
    -------
    Narrowed

    Raises
    ------
    OptionError
        No such check, or no such answer to it, or none that this vehicle or brake can have; names those there
        are. Or a second answer without a first, or no suspect there.
    """
    place = searched(evidence, at)
    search = _search(place.about, found)
    for check in skipped:
        refuse_unknown_check(search, check)
    state = Narrowed(
        suspects=(),
        check=None,
        minutes=search.minutes,
        found=tuple(Found(check=check, answer=answer) for check, answer in search.told.items()),
        skipped=tuple(one for one in dict.fromkeys(skipped) if one not in search.told),
        differs=differing(search.told.items()),
        cautions=holding_words(search),
        about=_named(place.about, sure=place.sure) if place.others else None,
        others=tuple(_named(one, sure=evidence.fault.is_fault) for one in place.others),
    )
    if not search.cooled:
        return _before_it_cooled(search, state)
    free = _turned_free(place, search)
    if free or not place.about.fault.is_fault:
        ending: Ending = "turned_free" if free else "no_cause"
        return replace(state, check=_otherwise(evidence, place, search), ending=ending)
    state = replace(state, suspects=_ranked(place, search))
    state = _asking(choose(search, state.skipped), search, state)
    return replace(state, remedy=_remedy(state, search)) if state.ending == "settled" else state


def _remedy(state: Narrowed, search: Search) -> Remedy:
    """What the card of the cause that is left says; what the fault forbids stands first."""
    key, evidence = state.suspects[0].cause, search.evidence
    card = evidence_table().causes[key]
    forbidden = of_faults(
        evidence.answers, evidence.vehicle, warms=evidence.fault.warms, worked=has_worked(search)
    )
    kinds = brake_parts(search.situation)[key]
    here = card.on.get(max(kinds, key=kinds.__getitem__), CardOn())
    safety = " ".join(one for one in (forbidden, here.safety or card.safety, BY_THE_BOOK) if one)
    return Remedy(cause=key, do=here.do or card.do, also=here.also or card.also, safety=safety)


def _named(evidence: LogEvidence, *, sure: bool) -> SearchedPlace:
    return SearchedPlace(at=evidence.corners[0], words=suspect_words(evidence, sure=sure))


def _turned_free(place: Searched, search: Search) -> bool:
    """True where a drag that was only watched is none by hand, and nothing else is confirmed as its cause."""
    drag = not place.sure and place.about.fault.sign == "hot" and not is_confirmed(search)
    return drag and drags_by_hand(search.situation.found) is False


def _otherwise(evidence: LogEvidence, place: Searched, search: Search) -> NextCheck:
    """What is next where no cause is looked for; brakes that turn freely leave the others in doubt."""
    if not _turned_free(place, search):
        return next_check(evidence, ())
    heat = evidence.answers.heat
    if heat.open:  # all wheels turn freely: what stays hot without braking is left to be told
        heat = replace(heat, decides=(Reason(code="coast_drive", corners=heat.corners),))
    cooled_degc = (
        doing().rule["cool_degc"] if search.told.get(COOL_FIRST) == "cooled" else evidence.brake_degc
    )
    others = replace(evidence.answers, drag=Answer(answer="no"), heat=heat)
    return next_check(replace(evidence, answers=others, brake_degc=cooled_degc), ())


def _ranked(place: Searched, search: Search) -> tuple[Suspect, ...]:
    """Causes; of what is only watched none is most likely before it was felt by hand or confirmed."""
    suspects = ranked(search.evidence, search.situation)
    felt = place.about.fault.sign == "hot" and drags_by_hand(search.situation.found)
    if place.sure or felt or is_confirmed(search):
        return suspects
    return tuple(replace(one, standing="possible") if one.standing == "likely" else one for one in suspects)


def _search(evidence: LogEvidence, found: Sequence[Found]) -> Search:
    told = {one.check: one.answer for one in found}
    search = begun(evidence)
    for check, answer in told.items():
        refuse_answer(search, check, answer)
        if first_time(check) not in told:
            msg = f'"{check}" is the second time of {first_time(check)}, which has no answer; give that first'
            raise OptionError(msg)
        search = advanced(search, check, answer)
    return search


def _before_it_cooled(search: Search, state: Narrowed) -> Narrowed:
    """Nobody works at a wheel: the only question is whether it has cooled."""
    first = clear_and_wait(search.evidence, wait_min=standing_min(search))
    check = replace(first, question=sentence("{} {}", first.question, cooled_question(search.evidence)))
    waits = search.told.get(WAIT) == "not_yet"
    meanings = (
        AnswerMeaning(id="cooled", words="cool enough, nothing smokes, read again", means="the checks begin"),
        AnswerMeaning(id="not_yet", words="not yet", means="nobody works at the wheel and nobody drives"),
    )
    return replace(state, check=check, answers=meanings, ending="wait" if waits else None)


_GATE_WHY = {
    COOL_FIRST: "Nobody goes near a wheel with a brake this hot: first it cools.",
    ON_STANDS: "The next check is made at a raised wheel.",
}


def _asking(choice: Choice, search: Search, state: Narrowed) -> Narrowed:
    """The next check with what each of its answers would mean, or the end."""
    one = choice.asked
    if one is None:
        cautions = (*state.cautions, *caged_first(choice.ending, search))
        return replace(state, ending=choice.ending, cautions=cautions)
    meanings = tuple(
        AnswerMeaning(id=answer, words=words, means=_points(one, answer, search))
        for answer, words in one.asked.answers.items()
    )
    check = check_of(
        search.evidence,
        one.key,
        one.asked,
        _why(one, choice, search),
        search.reached,
        passed_min=search.passed_min,
    )
    if one.key == ON_STANDS:
        check = replace(check, minutes=one.asked.minutes)
    if one.key == COOL_FIRST:
        waited = cooling_min(search.evidence, search.passed_min)
        check = replace(check, question=cooled_question(search.evidence), minutes=waited)
    elif search.too_hot:
        check = replace(check, safety=f"{_NOT_NEAR} {check.safety}")
    elif _burns(one, search):
        cool, hottest = degc(doing().rule["cool_degc"]), degc(hottest_degc(search.evidence))
        check = replace(check, safety=sentence(_COOL_HERE, cool, hottest, check.safety))
    return replace(state, check=check, how=one.asked.how, answers=meanings, ending=choice.ending)


def _burns(one: Candidate, search: Search) -> bool:
    """True at a wheel that nobody has found cool yet; a card that needs heat says so itself."""
    says_so = "hot" in one.asked.needs or COOL_FIRST in search.told
    return one.asked.near and not says_so and is_too_hot_to_touch(search.evidence)


def _why(one: Candidate, choice: Choice, search: Search) -> str:
    if (gate := _GATE_WHY.get(one.key)) is not None:
        return gate
    if is_again(one.key):
        return "All hangs on this check: a slip there would name the wrong cause."
    if choice.wanted is not None:
        opens = choice.wanted.asked.opens
        later = "a fluid line is opened" if opens else "the check that tells most is made"
        return f"Before {later} this is answered."
    if (leads := would_confirm(search, one)) is not None:
        return f"It would confirm what leads, {leads.short}: to make it now costs no more than later."
    by_heat = next((evidence_table().needs[need] for need in BY_HEAT if need in one.asked.needs), None)
    if by_heat is not None:
        return f"It needs {by_heat}: later it tells nothing."
    return "It tells most per minute now."


def _points(one: Candidate, answer: str, search: Search) -> str:
    """What an answer tells by its card, and which cause would then stand first."""
    if one.key == COOL_FIRST:
        return (
            "the checks by hand follow" if answer == "cooled" else "only the gun, and what the driver knows"
        )
    if one.key == ON_STANDS:
        return "the checks at the raised wheel follow" if answer == "yes" else "only checks on the ground"
    after = cause_weights(with_answer(search.situation, one.key, answer))
    named = evidence_table().causes[next(iter(after))].short
    told = one.asked.means.get(answer, "").rstrip(".")
    if is_again(one.key):
        same = search.told[first_time(one.key)] == answer
        told = "as the first time" if same else "another answer than the first time: it counts for neither"
    return f"{told} (then first: {named})" if told else f"then first: {named}"

"""Which check comes next: the most expected information per minute, under gates no arithmetic overrides.

Above an urgent line nothing before it cooled, unless what stopped it is a pedal, air, a lamp or a noise: that
is looked into first, and nothing has to cool for it. Nobody nearer to a wheel than the gun while a brake is
too hot; nothing on a raised wheel before it stands on stands; no hydraulics opened before looking, turning
and the parking brake were answered. A hub that stands out has its bearing tried first; a parking brake that
can hold what drags is looked at first. Before a cause is named, the check on which the name hangs is made
once more.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from functools import cache
from typing import Literal, TypeAlias

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.board import (
    Board,
    Flags,
    believed,
    bits_per_minute,
    board_of,
    expected_bits,
    may_be_made,
    turns_free,
)
from thermlog.advice.candidates import (
    COOL_FIRST,
    ON_STANDS,
    Candidate,
    checks,
    cools_before,
    once_more,
    stands_before,
)
from thermlog.advice.closing import (
    answered_against,
    can_be_tried_again,
    ends_p,
    is_confirmed_by,
    is_enclosed,
    is_shown_by,
)
from thermlog.advice.evidence import Cause
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import is_warm
from thermlog.advice.ordering import standing_before
from thermlog.advice.reassembly import put_together
from thermlog.advice.search import Search
from thermlog.advice.situations import Situation, parking_first
from thermlog.advice.spending import extra_min, minutes_with, waiting_min
from thermlog.advice.twice import answer_names, first_time, latest
from thermlog.advice.urgency import LOST
from thermlog.advice.weighing import Weights, again_p, nothing_fits, rows, weights_of

Ending: TypeAlias = Literal[
    "settled", "no_fault", "inseparable", "contradiction", "no_check", "wait", "no_cause",
    "turned_free",
    "repair_entered", "proven",  # by the record of a job, not by the search
]  # fmt: skip


class Choice(Struct, frozen=True, kw_only=True):
    """What is asked next, and why, or why nothing is.

    Attributes
    ----------
    asked : Candidate or None
    wanted : Candidate or None
        The check that `asked` is the gate of; None if it is asked for itself.
    ending : Ending or None
        Why the search has ended; "contradiction" may stand beside a check.
    """

    asked: Candidate | None = None
    wanted: Candidate | None = None
    ending: Ending | None = None


class Askable(Struct, frozen=True, kw_only=True):
    """What may be asked now.

    Attributes
    ----------
    board : Board
    able : array, (questions,)
        True where a question may be asked now, or after what stands before it.
    again : tuple of Candidate
        Checks that were made and could be made a second time.
    before : mapping of str to tuple of Candidate
        What stands before a question, by its name.
    """

    board: Board
    able: Flags
    again: tuple[Candidate, ...]
    before: Mapping[str, tuple[Candidate, ...]]


def askable(search: Search, skipped: Collection[str]) -> Askable:
    """What may be asked in a search, under every gate."""
    board, situation = board_of(search.situation), search.situation
    able = _able(search, skipped)
    if ON_STANDS in skipped or search.told.get(ON_STANDS) == "no":
        able &= ~(board.needs["lift"] | board.needs["wheel_off"])
    if search.told.get(ON_STANDS) == "yes":
        able &= ~board.needs["bench"]  # what stands on stands is not rolled anywhere
    free = able.copy()
    free[board.at_some(skipped)] = False
    standing = standing_before(board, situation, free)
    able &= ~standing.shut
    again = _again(search, board, able, skipped)
    able[board.at_some([*dict(situation.told), *search.told, *skipped])] = False
    return Askable(board=board, able=able, again=again, before=standing.before)


def _again(search: Search, board: Board, able: Flags, skipped: Collection[str]) -> tuple[Candidate, ...]:
    made = [board.asked[k].key for k in board.at_some(list(search.told)) if able[k]]
    second = [_repeated()[key] for key in made if key in _repeated()]
    return tuple(one for one in second if one.key not in search.told and one.key not in skipped)


@cache
def _repeated() -> Mapping[str, Candidate]:
    """Every check that can be made once more, as it is then asked, by the name of the first time."""
    return {one.key: once_more(one) for one in checks() if one.asked.repeats}


def _able(search: Search, skipped: Collection[str]) -> Flags:
    board, spent = board_of(search.situation), search.passed_min >= evidence_table().rule["warm_min"]
    cooled = search.keeps_away or search.told.get(COOL_FIRST) == "cooled"
    warm = is_warm(search.evidence) and not spent and not cooled
    able = may_be_made(board, search.situation, warm=warm, opened=True)
    if search.too_hot:
        never = COOL_FIRST in skipped or search.waits
        able &= ~board.near | (not never and ~board.needs["hot"])
    return able


def choose(search: Search, skipped: Collection[str] = ()) -> Choice:
    """The next check of those that may be made, or why there is none.

    Parameters
    ----------
    search : Search
        Of an established fault, cooled.
    skipped : collection of str
        Checks not to be asked now.
    """
    return chosen(search, askable(search, skipped), skipped)


def chosen(search: Search, now: Askable, skipped: Collection[str]) -> Choice:
    """`choose` of what may be asked."""
    if nothing_fits(search.situation, weights_of(search.situation)):
        best = _best(search, now)
        asked = _through_gates(best, now, search) if best else Choice()
        return replace(asked, ending="contradiction")
    ending: Ending | None = "settled" if _shown(search) else _ended(search.situation)
    if ending is not None:
        return _concluded(ending, search, now, skipped)
    best = _best(search, now)
    if _confirmed(search) and (best is None or _tells_little(best, search, now)):
        return _concluded("settled", search, now, skipped)
    best = best or _lacks_confirming(search, now)
    if best is None and search.waits:
        return Choice(ending="wait")
    if best is None:
        ending = "inseparable" if now.able.any() and not skipped else "no_check"
        return _concluded(ending, search, now, skipped)
    return _through_gates(best, now, search)


def _concluded(ending: Ending, search: Search, now: Askable, skipped: Collection[str]) -> Choice:
    """The end, or first what confirms the cause that is left, or the check once more on which it hangs.

    What two rungs of a ladder enclose is not left before they were climbed, however likely it is; nor is a
    cause against its own check.
    """
    owed = _confirming(search, now) or _denied(search, now) if ending == "settled" else None
    first = owed or _hangs_on(search, now)
    if first:
        return _through_gates(first, now, search)
    if ending == "settled" and _leads(search.situation) in _no_faults():
        return Choice(ending="contradiction" if _fault_found(search) else "no_fault")
    if ending != "settled" or is_confirmed(search):
        return Choice(ending=ending)
    if _against(search):
        return Choice(ending="contradiction")
    enclosed = is_enclosed(_likeliest(search))
    return Choice(ending="settled" if not enclosed else "no_check" if skipped else "inseparable")


def _denied(search: Search, now: Askable) -> Candidate | None:
    """The check of the card of the cause that is left which spoke against it, if it can be made once more."""
    if is_confirmed(search):
        return None
    against = _against(search)
    return next((one for one in now.again if first_time(one.key) in against), None)


def _against(search: Search) -> tuple[str, ...]:
    """Checks of the card of the likeliest cause whose last answer speaks against it."""
    return answered_against(dict(search.situation.told), _leads(search.situation))


def _hangs_on(search: Search, now: Askable) -> Candidate | None:
    """The check whose second answer would most often set the name of the cause right, for its minutes."""
    if not now.again:
        return None
    rule, told, weights = evidence_table().rule, dict(search.situation.found), weights_of(search.situation)
    first = [first_time(one.key) for one in now.again]
    gain = np.array([righter(again_p(key, told[key]), weights / weights.sum()) for key in first])
    minutes = _minutes(search, now)[now.board.at_some(first)] + rule["overhead_min"]
    k = int(np.where(gain >= rule["again_gain"], gain / minutes, 0.0).argmax())
    return now.again[k] if gain[k] >= rule["again_gain"] else None


def righter(p: Weights, shares: Weights) -> float:
    """How much more often the likeliest cause is the right one after an answer than before it.

    Parameters
    ----------
    p : array, (answers, causes)
    shares : array, (causes,)
    """
    return float((p * shares).max(axis=1).sum() - shares.max())


def _best(search: Search, now: Askable) -> Candidate | None:
    """The question with the highest rate; None where none tells enough, or enough for its minutes.

    That an answer may end the search counts, too: it saves what would be asked after it. Minutes that will be
    spent in any case, to confirm what is likely, do not count against a question. What only heat can tell
    comes before a question that outlasts the heat.

    A hub that stands out has its bearing tried before anything else, turned and rocked: such a vehicle may
    lose the wheel. What an answer asks for next follows it, as a leak a low fluid. Where the pedal was soft,
    air was lost or the brake lamp lit, what is lost is looked for next. Where a parking
    brake can hold what drags, whether it is off comes before anything else: it costs a look, once the wheel
    may be looked at. Where both brakes of an axle that may be raised are cold, or all of a trailer's, it is
    asked first whether they had any work.
    """
    rule, role = evidence_table().rule, evidence_table().role
    bearing = now.board.at_some(role["bearing"] if search.evidence.hub_odd else ())
    for k in bearing:
        if now.able[k]:
            return now.board.asked[k]
    first = [
        *_asked_next(search.situation),
        *(role["lost"] if _lost(search) else ()),
        *(role["parking"] if _lever_first(search) else ()),
        *role["work"],
    ]
    for k in now.board.at_some(first):
        if now.able[k] and not (search.too_hot and now.board.asked[k].asked.near):
            return now.board.asked[k]
    bits = expected_bits(now.board, search.situation)
    minutes = _minutes(search, now)
    rate = bits_per_minute(now.board, bits, minutes)
    worth_bits = bits + rule["end_bits"] * ends_p(now.board, search.situation)
    waited_min = minutes + waiting_min(search, now.board)
    extra = bits_per_minute(now.board, worth_bits, extra_min(search, now.board, now.able, waited_min))
    worth = now.able & (bits >= rule["least_bits"]) & (rate >= rule["least_rate"])
    if not worth[int(np.where(now.able, rate, -np.inf).argmax())]:
        return None
    k = int(np.where(worth, extra, -np.inf).argmax())
    told_by_heat = worth & now.board.by_heat & (rate >= rule["heat_rate"])
    if told_by_heat.any() and search.passed_min + waited_min[k] >= rule["warm_min"]:
        k = int(np.where(told_by_heat, extra, -np.inf).argmax())
    return now.board.asked[k]


def _asked_next(situation: Situation) -> list[str]:
    """Checks that an answer so far asks for, before what tells more."""
    told = answer_names((dict(situation.answers) | latest(situation.found)).items())
    return [key for key, answers in evidence_table().next.items() if not told.isdisjoint(answers)]


def _lever_first(search: Search) -> bool:
    return parking_first(search.situation) and not search.too_hot


def _lost(search: Search) -> bool:
    """True where what was seen says that the brakes may fail."""
    return any(one.code in LOST for one in search.evidence.urgent)


def _tells_little(one: Candidate, search: Search, now: Askable) -> bool:
    """True where a confirmed cause is not worth this check; one that cannot be tried again is longer."""
    minutes = _minutes(search, now) + waiting_min(search, now.board)
    rate = bits_per_minute(now.board, expected_bits(now.board, search.situation), minutes)
    again = can_be_tried_again(dict(search.situation.told), _likeliest(search))
    line = evidence_table().rule["confirmed_rate" if again else "once_rate"]
    return bool(rate[now.board.at[one.key]] < line)


def _minutes(search: Search, now: Askable) -> Weights:
    return minutes_with(search, now.board, now.before)


def _confirming(search: Search, now: Askable) -> Candidate | None:
    """What would confirm the cause that is left; None if it is confirmed, or nothing can confirm it."""
    if is_confirmed(search):
        return None
    places = now.board.at_some([one.check for one in _likeliest(search).confirms])
    return next((now.board.asked[k] for k in places if now.able[k]), None)


def _lacks_confirming(search: Search, now: Askable) -> Candidate | None:
    """What would confirm a cause that is likely enough to be called once it is, however little it tells."""
    likely = believed(search.situation).max() >= evidence_table().rule["confirmed_share"]
    return _confirming(search, now) if likely else None


def _confirmed(search: Search) -> bool:
    """True where a cause is likely enough to be called once its own check confirms it, and that was made."""
    likely = believed(search.situation).max() >= evidence_table().rule["confirmed_share"]
    return bool(likely) and is_confirmed(search)


def _shown(search: Search) -> bool:
    """True where the part itself was seen, by a check of its card, and nothing else is nearly as likely."""
    situation = search.situation
    likely = believed(situation).max() >= evidence_table().rule["shown_share"]
    return bool(likely) and is_shown_by(dict(situation.told), _leads(situation), weights_of(situation))


def is_confirmed(search: Search) -> bool:
    """True if a check of the card of the likeliest cause was made, and had the answer that confirms it."""
    return is_confirmed_by(dict(search.situation.told), _likeliest(search))


def _fault_found(search: Search) -> bool:
    """True if a check of the card of a fault that may be here had the answer that confirms it."""
    told, known = dict(search.situation.told), evidence_table().causes
    may_be = np.flatnonzero(weights_of(search.situation) > 0.0)
    faults = {rows().causes[k] for k in may_be.tolist()} - _no_faults()
    return any(is_confirmed_by(told, known[name]) for name in faults)


def would_confirm(search: Search, one: Candidate) -> Cause | None:
    """The likeliest cause, where it is not confirmed yet and this check of its card can do so."""
    leads = _likeliest(search)
    able = one.key in {each.check for each in leads.confirms} and not is_confirmed(search)
    return leads if able else None


def _likeliest(search: Search) -> Cause:
    return evidence_table().causes[_leads(search.situation)]


def _through_gates(wanted: Candidate, now: Askable, search: Search) -> Choice:
    """The check itself, or what must be answered before it."""
    first = now.before.get(first_time(wanted.key), (wanted,))[0]
    cools = cools_before() if first.asked.near and search.too_hot else None
    asked = cools or stands_before(first, search.told) or first
    now_made = put_together(asked, search.situation, search.reached)
    return Choice(asked=now_made, wanted=None if asked is wanted else wanted)


def _enough(situation: Situation) -> float:
    """How much a cause must be believed to end the search: less for no fault, once the wheel has shown it.

    Nothing is taken apart or fitted for it, and the drive that follows proves it or begins anew.
    """
    table = evidence_table()
    shown = answer_names(latest(situation.found).items())
    dragged = turns_free(situation.found) is False  # warm or cold, whatever it does the other time
    cleared = not dragged and not shown.isdisjoint(table.clear.get(situation.sign, ()))
    return table.rule["clear_share" if cleared and _leads(situation) in _no_faults() else "settled_share"]


def _no_faults() -> frozenset[str]:
    """Causes that are no fault of the brake."""
    return frozenset(evidence_table().role_cause[name] for name in ("no_fault", "idle"))


def _leads(situation: Situation) -> str:
    """The likeliest cause."""
    return rows().causes[int(believed(situation).argmax())]


def _ended(situation: Situation) -> Ending | None:
    """One cause is left, or two that no question keeps apart."""
    shares, enough = believed(situation), _enough(situation)
    second, first = np.argsort(shares, kind="stable")[-2:]
    if shares[first] >= enough:
        return "settled"
    both = {rows().causes[first], rows().causes[second]}
    alike = any(both == set(pair.causes) for pair in evidence_table().alike)
    if not alike or shares[first] + shares[second] < enough:
        return None
    return "no_fault" if both <= _no_faults() else "inseparable"

"""What holds a vehicle, or a hand, to the end of a search, whatever cause is the likeliest."""

from __future__ import annotations

from thermlog.advice.candidates import answer_words
from thermlog.advice.choosing import Ending
from thermlog.advice.closing import is_confirmed_by
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import places_named
from thermlog.advice.nextcheck import hubs_held
from thermlog.advice.ordering import presses
from thermlog.advice.search import Search
from thermlog.advice.twice import AGAIN, answer_names, first_time, latest
from thermlog.advice.urgency import HUB_CODES, LOOKED_INTO
from thermlog.advice.weighing import cause_weights
from thermlog.words.sentences import sentence
from thermlog.words.urgentwords import seen_words

_BEARING_FELT = (
    "The bearing of {} was found bad ({}): the vehicle is not driven before it is checked and put right, "
    "whatever else is found."
)
_STOPPED = (
    "Do not drive it ({}): what stopped it is found and put right before the vehicle moves, whatever cause "
    "is found beside it."
)
_LOST_HERE = (
    "Do not drive it (found here: {}): that is put right before the vehicle moves, whatever cause is found "
    "beside it."
)
_CAGED_FIRST = (
    "A spring may press here, so what would tell these causes apart waits: have it caged by a qualified "
    "person as the service information says, then go on with --found {}."
)


def holding_words(search: Search) -> tuple[str, ...]:
    """What holds the vehicle whatever cause is likeliest: what stopped it, a bearing felt bad or untried.

    Parameters
    ----------
    search : Search

    Returns
    -------
    tuple of str
        Sentences.
    """
    felt = _bearing_felt(search)
    return (*_stopped(search), *_lost_here(search), *felt, *_hubs_untried(search, tried=bool(felt)))


def _stopped(search: Search) -> tuple[str, ...]:
    """What was seen and is looked into where it stands holds the vehicle while causes are looked for, too."""
    codes = dict.fromkeys(one.code for one in search.evidence.urgent if one.code in LOOKED_INTO)
    return (sentence(_STOPPED, " and ".join(map(seen_words, codes))),) if codes else ()


def _lost_here(search: Search) -> tuple[str, ...]:
    """Fluid, pedal or air that was found lost once holds the vehicle, whatever the second look showed."""
    lost = evidence_table().stops["lost"]
    met = (pair for pair in search.told.items() if f"{first_time(pair[0])}={pair[1]}" in lost)
    words = tuple(dict.fromkeys(answer_words(check, answer) for check, answer in met))
    return (sentence(_LOST_HERE, " and ".join(words)),) if words else ()


def _bearing_felt(search: Search) -> tuple[str, ...]:
    """A bearing felt bad once is not driven on, whatever is felt the second time."""
    table = evidence_table()
    known, most = table.role_cause["bearing"], table.rule["reason_for"]
    for check in table.role["bearing"]:
        asked = table.observations[check]
        for answer in (search.told[key] for key in (check, check + AGAIN) if key in search.told):
            usual = sum(asked.likelihood(answer, cause) for cause in asked.p) / len(asked.p)
            if asked.likelihood(answer, known) >= most * usual:
                return (sentence(_BEARING_FELT, places_named(search.evidence), asked.answers[answer]),)
    return ()


def _hubs_untried(search: Search, *, tried: bool) -> tuple[str, ...]:
    """A hub that stopped the vehicle holds it until its bearing was felt, however cool it has become."""
    if not search.cooled:
        return ()  # the wait says it
    shown = answer_names(search.told.items())
    felt = tried or not shown.isdisjoint(evidence_table().clear["hub"])
    known = search.evidence.corners if felt else ()
    hubs = (one.corner for one in search.evidence.urgent if one.code in HUB_CODES)
    left = tuple(dict.fromkeys(corner for corner in hubs if corner and corner not in known))
    return (hubs_held(left),) if left else ()


def caged_first(ending: Ending | None, search: Search) -> tuple[str, ...]:
    """Where a search ends because a spring may press: who makes it safe, and how the search goes on.

    Parameters
    ----------
    ending : Ending or None
    search : Search

    Returns
    -------
    tuple of str
        One sentence, or none.
    """
    if ending not in {"inseparable", "no_check", "contradiction"} or not presses(search.situation):
        return ()
    table = evidence_table()
    leads = table.causes[next(iter(cause_weights(search.situation)))]
    if {one.check for one in leads.confirms} <= {*table.role["ladder_air"]}:
        return ()  # a caged spring tells nothing of air that a valve leaves: gauges do
    check = table.role["qualified"][0]
    ways = " or ".join(f"{check}={answer}" for answer in table.observations[check].answers)
    return (sentence(_CAGED_FIRST, ways),)


def has_worked(search: Search) -> bool:
    """True if the driver says that the brakes of the axle had work, whatever the vehicle can do."""
    table, told = evidence_table(), latest(search.told.items())
    check = table.named("work")
    idle = table.causes[table.role_cause["idle"]]
    return check in told and not is_confirmed_by({check: told[check]}, idle)

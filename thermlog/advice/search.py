"""A search on its way: the log, the answers so far, what was reached and how long it took."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.board import board_of, minutes_of
from thermlog.advice.candidates import COOL_FIRST, WAIT, with_answer
from thermlog.advice.doing import doing
from thermlog.advice.evidence import Observation
from thermlog.advice.heat import is_too_hot
from thermlog.advice.information import cooling_min, is_cold, wheels_looked_at
from thermlog.advice.logevidence import LogEvidence
from thermlog.advice.situations import Situation, situation_of
from thermlog.advice.twice import first_time
from thermlog.advice.urgency import needs_distance
from thermlog.advice.weighing import Weights


class Search(Struct, frozen=True, kw_only=True):
    """A search on its way: all that is known after some answers.

    Attributes
    ----------
    evidence : LogEvidence
    situation : Situation
    reached : frozenset of str
        Of "lift", "wheel_off", "apart" and "cold".
    minutes : float
        Spent on the checks so far [min].
    told : mapping of str to str
        Check -> answer, in their order.
    """

    evidence: LogEvidence
    situation: Situation
    reached: frozenset[str] = frozenset()
    minutes: float = 0.0
    told: Mapping[str, str] = {}

    @property
    def passed_min(self) -> float:
        """Minutes since the readings: those of the checks, or what a clock tells where that is more."""
        return max(self.minutes, self.evidence.since_min)

    @property
    def cooled(self) -> bool:
        """False while an urgent line, or the answer "not yet", keeps everybody away from the wheel."""
        waited = self.told.get(WAIT)
        return waited == "cooled" or (waited is None and not self.keeps_away)

    @property
    def keeps_away(self) -> bool:
        """True if the log alone keeps everybody away: heat, smoke and the like, not a pedal that is soft."""
        return needs_distance(self.evidence.urgent)

    @property
    def too_hot(self) -> bool:
        """True while a brake is too hot for hands, or eyes, at a wheel."""
        read = self.told.get(COOL_FIRST)
        return read == "not_yet" or (read is None and is_too_hot(self.evidence) and not self.keeps_away)

    @property
    def waits(self) -> bool:
        """True where it was read again and had not cooled yet."""
        return self.told.get(COOL_FIRST) == "not_yet"


def begun(evidence: LogEvidence) -> Search:
    """What the log alone tells."""
    reached = frozenset({"cold"} if is_cold(evidence) else ())
    return Search(evidence=evidence, situation=situation_of(evidence), reached=reached)


def advanced(search: Search, check: str, answer: str) -> Search:
    """What is known with one more answer; a later one to the same check takes the place of the earlier."""
    board = board_of(search.situation)
    reached, minutes = search.reached, search.minutes
    if first_time(check) in board.at:
        k = board.at[first_time(check)]
        minutes += float(each_min(search)[k])
        reached = _reached(reached, board.asked[k].asked)
    elif (check, answer) == (COOL_FIRST, "cooled") and search.too_hot:
        minutes += left_to_cool_min(search)
        reached |= {"cold"}
    elif check == WAIT and WAIT not in search.told:
        minutes += standing_min(search)
    return replace(
        search,
        situation=with_answer(search.situation, check, answer),
        reached=reached,
        minutes=minutes,
        told={**search.told, check: answer},
    )


def _reached(reached: frozenset[str], made: Observation) -> frozenset[str]:
    """States after a check: a brake that was put on is together, and a wheel that was turned is on."""
    if made.closed:
        reached -= {"apart"}
    if "turns" in made.needs:
        reached -= {"wheel_off"}
    left = {"apart"} if made.leaves_apart else set[str]()
    return reached | left | ({"lift", "wheel_off", "cold"} & set(made.needs))


def each_min(search: Search) -> Weights:
    """Minutes of every question from what was reached [min]."""
    wait_min = cooling_min(search.evidence, search.passed_min)
    return minutes_of(search.situation, wheels_looked_at(search.evidence), search.reached, wait_min=wait_min)


def standing_min(search: Search) -> float:
    """Waiting above an urgent line [min]: that long at least, and until the hottest brake may be touched."""
    least_min = doing().minutes(WAIT, search.evidence.vehicle.weight_class)
    return max(least_min, cooling_min(search.evidence, search.passed_min))


def left_to_cool_min(search: Search) -> float:
    """Waiting before a brake that is too hot may be touched [min]; nothing once it has been waited for."""
    if not search.too_hot or "cold" in search.reached:
        return 0.0
    return cooling_min(search.evidence, search.passed_min)

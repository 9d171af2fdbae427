"""How likely each cause is by all answers: priors times likelihoods, as arrays over causes.

Weight = prior times the likelihood of every answer. What a log can answer counts to the power 0.7, because
hot, hub and face are not independent; the answer about where keeps its full weight. What is found at a wheel
counts in full. Fourteen in a hundred answers from outside the log are taken for slips, which may be any of
the card, the right one too, so about one in ten is wrong; a second answer to the same check counts as far as
it is a new one (`twice`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache, lru_cache
from typing import TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.advice.evidence import Observation
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation, priors
from thermlog.advice.twice import agreed_pairs, first_time, is_again, second_p
from thermlog.words.tables import Bools, Floats

Weights: TypeAlias = Floats


class Rows(Struct, frozen=True, kw_only=True, eq=False):
    """The rows of the evidence file as arrays.

    Attributes
    ----------
    causes : tuple of str
        In the order of the file.
    p : mapping of (str, str) to array, (causes,)
        Of every answer to every check: its probability under every cause.
    met_p : mapping of (str, str) to array, (causes,)
        The same with slips of whoever answers.
    exponent : mapping of str to float
        Power to which the answers to every check count.
    """

    causes: tuple[str, ...]
    p: Mapping[tuple[str, str], Weights]
    met_p: Mapping[tuple[str, str], Weights]
    exponent: Mapping[str, float]

    def logs(self, pair: tuple[str, str], *, by_log: bool) -> Weights:
        """What an answer adds to the logarithm of a weight, (causes,)."""
        return np.asarray(self.exponent[pair[0]] * np.log((self.p if by_log else self.met_p)[pair]))


@cache
def rows() -> Rows:
    """The bundled rows, made once."""
    table = evidence_table()
    causes = tuple(table.causes)
    p, met_p = dict[tuple[str, str], Weights](), dict[tuple[str, str], Weights]()
    for key, asked in table.observations.items():
        pairs, columns = [(key, answer) for answer in asked.answers], np.asarray(asked.p.by_answer)
        p.update(zip(pairs, columns, strict=True))
        met_p.update(zip(pairs, columns if _is_seen(key) else with_slips(columns, asked), strict=True))
    return Rows(causes=causes, p=p, met_p=met_p, exponent={key: _exponent(key) for key in table.observations})


def with_slips(p: Weights, asked: Observation) -> Weights:
    """Probability of answers where some are slips, which may be any answer of the card."""
    slip = evidence_table().rule["slip"]
    return (1.0 - slip) * p + slip / len(asked.answers)


def _is_seen(key: str) -> bool:
    """True for what is fitted: it is seen, without slips."""
    return key in evidence_table().role["equipment"]


def _exponent(key: str) -> float:
    table = evidence_table()
    correlated = table.observations[key].source in {"log", "gun"} and key not in table.role["scope"]
    return table.rule["temper"] if correlated else 1.0


def cause_weights(situation: Situation) -> Mapping[str, float]:
    """Relative weight of every cause that can be present, the heaviest first."""
    weights = weights_of(situation)
    order = np.argsort(-weights, kind="stable")
    return {rows().causes[k]: float(weights[k]) for k in order if weights[k] > 0.0}


@lru_cache(maxsize=4096)
def weights_of(situation: Situation) -> Weights:
    """Relative weight of every cause of the file, shape (causes,); 0 where it cannot be present."""
    before = _by_the_log(situation.unfound)
    logs = sum((_found_logs(*one) for one in _each_found(situation.found)), start=before)
    weights = np.exp(logs)
    weights.setflags(write=False)
    return weights


@lru_cache(maxsize=4096)
def _by_the_log(situation: Situation) -> Weights:
    """Logarithm of prior and of what the log answers itself, shape (causes,)."""
    prior = priors(situation)
    shares = np.array([prior.get(cause, 0.0) for cause in rows().causes])
    logs = np.log(shares, out=np.full(len(shares), -np.inf), where=shares > 0.0)
    return np.asarray(sum((rows().logs(pair, by_log=True) for pair in situation.answers), start=logs))


def _each_found(found: tuple[tuple[str, str], ...]) -> Iterator[tuple[str, str, str]]:
    """Check, answer, and the first answer where the check was made again."""
    known = dict(found)
    return ((check, answer, known.get(first_time(check), answer)) for check, answer in found)


@cache
def _found_logs(check: str, answer: str, first: str) -> Weights:
    if not is_again(check):
        return rows().logs((check, answer), by_log=False)
    key = first_time(check)
    k = tuple(evidence_table().observations[key].answers).index(answer)
    return np.asarray(rows().exponent[key] * np.log(again_p(key, first)[k]))


@cache
def again_p(check: str, first: str) -> Weights:
    """Probability of every answer of a check that is made again after a first answer, (answers, causes)."""
    rule, answers = evidence_table().rule, tuple(evidence_table().observations[check].answers)
    p = np.array([rows().p[check, answer] for answer in answers])
    return second_p(p, answers.index(first), slip=rule["slip"], comes_again=rule["slip_again"])


def held_below(weights: Weights, most: float) -> Weights:
    """Weights as shares of one, the largest held at `most`: coarse judgement never makes a cause certain.

    Parameters
    ----------
    weights : array, (causes,)
        At least two above zero.
    most : float
        Largest share allowed, above one half.
    """
    shares: Weights = weights / weights.sum()
    first = int(shares.argmax())
    if shares[first] > most:
        shares *= (1.0 - most) / (1.0 - shares[first])
        shares[first] = most
    return shares


def nothing_fits(situation: Situation, weights: Weights) -> bool:
    """True if every cause worth naming has answers that it explains badly, more than slips account for.

    One answer in ten is wrong at a real wheel, too, so one of many that does not fit is no contradiction.
    `weights` are those of `weights_of`.
    """
    rule, repeat = evidence_table().rule, evidence_table().role["repeat"]
    asked = [pair for pair in agreed_pairs(situation.told) if pair[0] not in repeat]
    if not asked:
        return False
    worth = weights >= weights.max() * rule["possible_ratio"]
    misfits = np.array([_misfits(*pair) for pair in asked]).sum(axis=0)[worth]
    return bool(misfits.min() > len(asked) // rule["answers_a_slip"])


@cache
def _misfits(check: str, answer: str) -> Bools:
    """Causes that hardly ever give this answer, (causes,)."""
    return np.asarray(rows().p[check, answer] < evidence_table().rule["misfit"])

"""How likely each cause is by all answers: priors times likelihoods, as arrays over causes.

Weight = prior times the likelihood of every answer, to the power 0.7 because hot, hub, face and spin answers
are not independent; the answer about where keeps its full weight.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache, lru_cache

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import Situation, priors

Weights = NDArray[np.float64]


class Rows(Struct, frozen=True, kw_only=True, eq=False):
    """The rows of the evidence file as arrays.

    Attributes
    ----------
    causes : tuple of str
        In the order of the file.
    p : mapping of (str, str) to array, (causes,)
        Of every answer to every check: its probability under every cause.
    log_p : mapping of (str, str) to array, (causes,)
        What that answer adds to the logarithm of a weight, tempered.
    """

    causes: tuple[str, ...]
    p: Mapping[tuple[str, str], Weights]
    log_p: Mapping[tuple[str, str], Weights]


@cache
def rows() -> Rows:
    """The bundled rows, made once."""
    table = evidence_table()
    causes, temper = tuple(table.causes), table.rule["temper"]
    p = {
        (key, answer): np.array([asked.p[cause][k] for cause in causes])
        for key, asked in table.observations.items()
        for k, answer in enumerate(asked.answers)
    }
    full = table.role["scope"]
    log_p = {pair: np.log(column) * (1.0 if pair[0] in full else temper) for pair, column in p.items()}
    return Rows(causes=causes, p=p, log_p=log_p)


def cause_weights(situation: Situation) -> Mapping[str, float]:
    """Relative weight of every cause that can be present, the heaviest first."""
    weights = weights_of(situation)
    order = np.argsort(-weights, kind="stable")
    return {rows().causes[k]: float(weights[k]) for k in order if weights[k] > 0.0}


@lru_cache(maxsize=4096)
def weights_of(situation: Situation) -> Weights:
    """Relative weight of every cause of the file, shape (causes,); 0 where it cannot be present."""
    log_p = rows().log_p
    logs = sum((log_p[pair] for pair in situation.found), start=_by_the_log(replace(situation, found=())))
    weights = np.exp(logs)
    weights.setflags(write=False)
    return weights


@lru_cache(maxsize=4096)
def _by_the_log(situation: Situation) -> Weights:
    """Logarithm of prior and of what the log answers itself, shape (causes,)."""
    prior = priors(situation)
    shares = np.array([prior.get(cause, 0.0) for cause in rows().causes])
    logs = np.log(shares, out=np.full(len(shares), -np.inf), where=shares > 0.0)
    return np.asarray(sum((rows().log_p[pair] for pair in situation.answers), start=logs))


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
    asked = [pair for pair in situation.told if pair[0] not in repeat]
    if not asked:
        return False
    worth = weights >= weights.max() * rule["possible_ratio"]
    misfits = np.sum([rows().p[pair][worth] < rule["misfit"] for pair in asked], axis=0)
    return bool(misfits.min() > len(asked) // rule["answers_a_slip"])

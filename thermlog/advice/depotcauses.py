"""What a depot's own jobs found, beside the bundled table: how likely each cause is beforehand.

A Dirichlet update: the table counts as some findings, the jobs add theirs. What was found on one kind of
brake moves the cause wherever it can be, by one factor.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from thermlog.advice.evidenceload import evidence_table
from thermlog.words.errors import PolicyError
from thermlog.words.policy import CausesFound, Policy, load_policy
from thermlog.words.vehicle import WeightClass


@lru_cache(maxsize=4)
def usual_shares(weight_class: WeightClass) -> Mapping[str, float]:
    """Share of every cause among those of usual vehicles of one class, by the table; sums to one.

    Parameters
    ----------
    weight_class : WeightClass

    Returns
    -------
    mapping of str to float
        Causes of brakes that such a vehicle usually has not stand by the mean of their weights.
    """
    table = evidence_table()
    shares: dict[str, float] = {}
    for place in ("steer", "axle"):
        for kind, share in table.share[f"{weight_class}_{place}"].items():
            shares[kind] = shares.get(kind, 0.0) + 0.5 * share
    raw = {
        key: sum(shares.get(kind, 0.0) * weight for kind, weight in cause.prior.items())
        or sum(cause.prior.values()) / len(cause.prior)
        for key, cause in table.causes.items()
    }
    total = sum(raw.values())
    return {key: weight / total for key, weight in raw.items()}


@lru_cache(maxsize=16)
def factors(found: CausesFound, weight_class: WeightClass) -> Mapping[str, float]:
    """Factor on the prior of every cause that was found, beside one for those that were not.

    Parameters
    ----------
    found : CausesFound
    weight_class : WeightClass
        Of the vehicles that are judged.
    """
    usual = usual_shares(weight_class)
    return {cause: 1.0 + count / (found.table_worth * usual[cause]) for cause, count in found.counts}


def load_own_policy(name_or_file: str) -> Policy:
    """As `policy.load_policy`, for those who judge by it: causes that it counts must be in the table.

    Raises
    ------
    PolicyError
    """
    policy = load_policy(name_or_file)
    for cause, _ in () if policy.causes_found is None else policy.causes_found.counts:
        if cause not in evidence_table().causes:
            from difflib import get_close_matches  # only a mistake needs it

            near = ", ".join(get_close_matches(cause, evidence_table().causes, n=2)) or "none"
            msg = f'{name_or_file}: [causes_found.counts]: no cause "{cause}"; nearest: {near}'
            raise PolicyError(msg)
    return policy

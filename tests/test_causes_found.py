"""Causes that a depot's own jobs confirmed move what is looked for first, and say so."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from logs import DRAGGING_K, write_log

from thermlog.advice.depotcauses import factors, load_own_policy, usual_shares
from thermlog.advice.evidenceload import evidence_table
from thermlog.words.errors import PolicyError
from thermlog.words.policy import BUNDLED, CausesFound, load_policy


def policy_file(worth: float = 20.0, **counts: int) -> str:
    """A policy with these causes."""
    lines = [f"{cause} = {count}" for cause, count in counts.items()]
    text = f'base = "light"\n[causes_found]\ntable_worth = {worth:g}\nsource = "own jobs"\n'
    Path("own.toml").write_text(text + "[causes_found.counts]\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return "own.toml"


@pytest.mark.parametrize("weight_class", ["light", "heavy"])
def test_it_is_the_dirichlet_update_of_usual_shares(weight_class) -> None:
    """Posterior mean (W prior + count) / (W + all counts), Gelman et al., Bayesian Data Analysis, 3.4."""
    usual = usual_shares(weight_class)
    assert sum(usual.values()) == pytest.approx(1.0)
    found = CausesFound(
        counts=(("slide_pin_seized", 7), ("piston_stuck_on", 3)), table_worth=20.0, source="x"
    )
    moved = {cause: share * factors(found, weight_class).get(cause, 1.0) for cause, share in usual.items()}
    total = sum(moved.values())
    for cause, count in (("slide_pin_seized", 7), ("piston_stuck_on", 3), ("one_piston_stuck", 0)):
        own = (20.0 * usual[cause] + count) / (20.0 + 10.0)
        assert moved[cause] / total == pytest.approx(own), cause


def test_what_was_found_is_looked_for_first_and_says_so(thermlog) -> None:
    log = write_log(Path(), "a.csv", DRAGGING_K)

    def first(*more: str) -> list[dict]:
        return json.loads(thermlog("check", log, "--format", "json", *more).out)["suspects"]

    usual = first()
    last = usual[-1]["cause"]
    own = first("--policy", policy_file(**{last: 30}))
    assert usual[0]["cause"] != last
    assert own[0]["cause"] == last
    assert "Found 30 of 30 times at this depot." in own[0]["for"]
    less = first("--policy", policy_file(worth=100_000.0, **{last: 30}))
    assert [one["cause"] for one in less] == [one["cause"] for one in usual]


def test_narrow_asks_by_what_was_found(thermlog) -> None:
    log = write_log(Path(), "a.csv", DRAGGING_K)

    def told(*more: str) -> dict:
        return json.loads(thermlog("narrow", log, "--format", "json", *more).out)

    causes = [one["cause"] for one in told()["causes"]]
    own = told("--policy", policy_file(**{causes[-1]: 30}))
    assert own["causes"][0]["cause"] == causes[-1]


def test_bundled_policies_count_none() -> None:
    """Nothing moves unless a depot says so."""
    assert [load_policy(name).causes_found for name in BUNDLED] == [None, None]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("table_worth = 20\nsource = 'x'\n[causes_found.counts]\nslide_pins = 3", 'no cause "slide_pins"'),
        (
            "table_worth = 20\nsource = 'x'\n[causes_found.counts]\nslide_pin_seized = -3",
            "slide_pin_seized is -3; a whole number from 0 on",
        ),
        ("table_worth = 0\nsource = 'x'\n[causes_found.counts]\n", "table_worth is zero; it must be above"),
        ("table_worth = 20\nsource = ' '\n[causes_found.counts]\n", "say where it comes from"),
        ("table_worth = 20\nsource = 'x'\n", '"counts" is missing'),
        ("table_worth = 20\nsource = 'x'\nmore = 1\n[causes_found.counts]\n", "more is 1: no such key"),
    ],
)
def test_a_wrong_table_of_causes_is_refused_by_name(tmp_path: Path, text: str, said: str) -> None:
    file = tmp_path / "own.toml"
    file.write_text(f'base = "light"\n[causes_found]\n{text}\n', encoding="utf-8")
    with pytest.raises(PolicyError, match=said) as told:
        load_own_policy(str(file))
    assert "causes_found" in str(told.value)


def test_a_shown_policy_keeps_what_was_found(thermlog) -> None:
    own = policy_file(slide_pin_seized=4, piston_stuck_on=2)
    shown = thermlog("policy", "show", own)
    assert "the table of causes counts as 20 findings" in shown.out
    Path("again.toml").write_text(thermlog("policy", "show", own, "--format", "toml").out, encoding="utf-8")
    assert load_policy("again.toml").causes_found == load_policy(own).causes_found


def test_every_cause_of_the_table_has_a_share() -> None:
    assert all(set(usual_shares(one)) == set(evidence_table().causes) for one in ("light", "heavy"))
    assert min(usual_shares("heavy").values()) > 0.0


def test_the_example_of_the_page_is_a_policy() -> None:
    page = Path(__file__).parents[1] / "docs" / "field-study.md"
    (example,) = re.findall(r"```toml\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL)
    Path("own.toml").write_text(example, encoding="utf-8")
    found = load_own_policy("own.toml").causes_found
    assert found is not None
    assert found.counts == (("slide_pin_seized", 7), ("piston_stuck_on", 3))

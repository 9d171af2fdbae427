"""A trailer has no seat, no pedal and no bonnet: what is asked of it is answered where it stands."""

from __future__ import annotations

import re
import shutil

import pytest
from advicecases import log_evidence
from msgspec.structs import replace
from test_evidence import ADVICE, FILES, change

from thermlog.advice.candidates import COOL_FIRST
from thermlog.advice.evidenceload import evidence_table, load_evidence
from thermlog.advice.narrowing import Found, narrow
from thermlog.words.errors import EvidenceError
from thermlog.words.vehicle import Axle, Vehicle

TABLE = evidence_table()
TRAILERS = {key for key, kind in TABLE.kinds.items() if kind.group == "trailer"}
SURGE = Vehicle(axles=(Axle(role="trailer", fitted="surge_hyd"),) * 2, weight_class="light", stated=True)
SEATED = re.compile(r"\b(pedal|seat|steering wheel|bonnet|cabin)\b")


def test_what_is_asked_of_a_trailer_speaks_of_no_seat_unless_it_names_the_trailer_beside_it():
    for key, asked in TABLE.observations.items():
        if asked.source == "log" or TRAILERS.isdisjoint(asked.applies_to):
            continue
        assert asked.source != "seat", key
        words = (asked.ask, asked.do, asked.how, *asked.answers.values(), *asked.means.values())
        for text in words:
            assert SEATED.search(text) is None or "trailer" in text, (key, text)


def test_the_fluid_of_a_trailer_is_looked_at_at_its_drawtube_once_it_has_cooled():
    """The drawtube is among wheels; a reservoir under a bonnet is not."""
    evidence = replace(log_evidence("corner_cold", "1L", vehicle=SURGE), brake_degc=260.0)
    told: list[Found] = []
    while (state := narrow(evidence, told)).check is not None and state.answers:
        asked = TABLE.observations.get(state.check.id)
        cooled = Found(check=COOL_FIRST, answer="cooled") in told
        assert cooled or asked is None or asked.source in {"gun", "driver"}, state.check.id
        assert state.check.id != "gate_fluid"
        told.append(Found(check=state.check.id, answer=_of_a_leak(state)))
    assert any(one.check == "gate_fluid_surge" for one in told)


def _of_a_leak(state) -> str:
    """The usual answer where fluid is lost at this brake; of a gate the first."""
    asked, answers = TABLE.observations.get(state.check.id), [one.id for one in state.answers]
    return (
        answers[0] if asked is None else max(answers, key=lambda one: asked.likelihood(one, "supply_leaking"))
    )


def test_low_fluid_at_the_drawtube_speaks_for_a_leak():
    asked = TABLE.observations["gate_fluid_surge"]
    for cause in ("supply_leaking", "cylinder_leaking"):
        # A weeping leak hardly shows in the level: possible, unlikely without one (common practice).
        assert asked.likelihood("low", cause) >= 3.0 * asked.likelihood("low", "rust_bound")
    assert asked.likelihood("low", "rust_bound") <= 0.1


def test_a_check_from_the_seat_that_a_trailer_can_have_is_refused(tmp_path):
    for name in FILES:
        shutil.copy(ADVICE / name, tmp_path)
    surge = 'needs = []\napplies_to = ["surge_hyd"]'
    change(tmp_path, "checks.toml", rf'^source = "ground"\n{re.escape(surge)}', f'source = "seat"\n{surge}')
    with pytest.raises(EvidenceError, match=r"gate_fluid_surge.applies_to.*no seat"):
        load_evidence(tmp_path)

"""The brake of an axle stated in full: in a vehicle file, on a line of a log, and what follows from it."""

from __future__ import annotations

import re
from pathlib import Path
from typing import get_args

import pytest
from advicecases import CAR, log_evidence
from msgspec.structs import replace

import thermlog as package
from thermlog.advice.board import board_of
from thermlog.advice.candidates import BRAKE_KIND
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.situations import situation_of
from thermlog.advice.suspects import rank_suspects
from thermlog.advice.urgency import has_fluid, light_trailer
from thermlog.reading.read import read_log
from thermlog.reading.vehiclefile import load_vehicle
from thermlog.words.errors import VehicleError
from thermlog.words.vehicle import (
    FLUID_BRAKES,
    HEAVY_BRAKES,
    TRAILER_BRAKES,
    Axle,
    FittedBrake,
    class_of,
    disc_or_drum,
)

SAMPLE = Path(__file__).parent.parent / "sample_logs" / "van_before_repair.csv"
TABLE = evidence_table()
KINDS = get_args(FittedBrake)
PAGE = (Path(__file__).parent.parent / "docs" / "vehicle.md").read_text(encoding="utf-8")


def in_file(folder: Path, *axles: str) -> str:
    file = folder / "mine.toml"
    file.write_text("".join(f"[[axles]]\n{axle}\n" for axle in axles), encoding="utf-8")
    return str(file)


def in_log(folder: Path, brakes: str):
    file = folder / "log.csv"
    rows = "0,FL,80\n20,FR,81\n40,RL,60\n60,RR,61\n"
    file.write_text(f"# ambient: 20 C\n# brakes: {brakes}\ntime_s,position,temp_c\n{rows}", encoding="utf-8")
    return read_log(str(file))


def described(found) -> tuple:
    vehicle = found.readings.cases[0].description
    return vehicle.weight_class, tuple((axle.brake, axle.fitted) for axle in vehicle.axles)


def test_kinds_are_those_of_the_evidence_file():
    assert set(KINDS) == set(TABLE.kinds)
    assert {kind for kind in KINDS if TABLE.kinds[kind].group == "heavy"} == HEAVY_BRAKES
    assert {kind for kind in KINDS if TABLE.kinds[kind].group == "trailer"} == TRAILER_BRAKES
    assert set(TABLE.causes["supply_blocked"].brakes) == FLUID_BRAKES  # every brake that has a pipe
    for kind in KINDS:
        row = rf"^\| {disc_or_drum(kind)}\b[^|]*\| `{kind}` \| {class_of([kind])} \|"
        assert re.search(row, PAGE, re.MULTILINE)


@pytest.mark.parametrize("kind", KINDS)
def test_file_states_it_and_disc_and_class_follow(tmp_path, kind):
    found = load_vehicle(in_file(tmp_path, f'fitted = "{kind}"', f'fitted = "{kind}"'))
    assert found.weight_class == ("heavy" if kind in HEAVY_BRAKES else "light")
    assert [(axle.brake, axle.fitted) for axle in found.axles] == [(disc_or_drum(kind), kind)] * 2


def test_stated_class_stands(tmp_path):
    file = Path(in_file(tmp_path, 'fitted = "air_disc"', ""))
    assert load_vehicle(str(file)).weight_class == "heavy"
    file.write_text('weight_class = "light"\n' + file.read_text(encoding="utf-8"), encoding="utf-8")
    assert load_vehicle(str(file)).weight_class == "light"


@pytest.mark.parametrize(
    ("axle", "said"),
    [
        ('brake = "drum"\nfitted = "air_disc"', 'axle 2, fitted, found "air_disc": brake says "drum"'),
        ('fitted = "air_disk"', 'axle 2, fitted, found "air_disk": write one of "hyd_disc_floating"'),
    ],
)
def test_what_does_not_agree_is_refused_by_name(tmp_path, axle, said):
    with pytest.raises(VehicleError, match=said):
        load_vehicle(in_file(tmp_path, "", axle))


@pytest.mark.parametrize(
    ("line", "weight", "fitted"),
    [
        ("hyd_disc_floating hyd_drum", "light", ("hyd_disc_floating", "hyd_drum")),
        ("floating, fixed", "light", ("hyd_disc_floating", "hyd_disc_fixed")),
        ("air-disc S-cam", "heavy", ("air_disc", "air_drum_scam")),
        ("wedge", "heavy", ("air_drum_wedge",) * 2),
        ("overrun / electric", "light", ("overrun_drum", "electric_drum")),
        ("disc surge_hyd", "light", (None, "surge_hyd")),
        ("disc-drum", "light", (None, None)),
    ],
)
def test_line_of_a_log_states_it(tmp_path, line, weight, fitted):
    found = described(in_log(tmp_path, line))
    assert found[0] == weight
    assert tuple(kind for _, kind in found[1]) == fitted
    assert all(brake for brake, _ in found[1])


def test_word_not_known_is_named_with_all_that_are(tmp_path):
    notes = in_log(tmp_path, "disc mechanical").record.notes
    assert any(
        '"mechanical" is not understood; write one word an axle: disc, drum, hyd_' in one for one in notes
    )


@pytest.mark.parametrize("kind", KINDS)
def test_stated_kind_is_neither_asked_nor_doubted(kind):
    """One kind, so no question about it; its causes only; nothing says "the log does not say"."""
    axle = Axle(brake=disc_or_drum(kind), fitted=kind, parking_brake=True)
    vehicle = replace(CAR, axles=(axle, axle), weight_class="heavy" if kind in HEAVY_BRAKES else "light")
    evidence = log_evidence("corner_hot", "2L", vehicle=vehicle)
    situation = situation_of(evidence)
    assert situation.shares == ((kind, 1.0),)
    assert BRAKE_KIND not in board_of(situation).at
    suspects = rank_suspects(evidence)
    assert all(kind in TABLE.causes[one.cause].brakes for one in suspects)
    assert not any("does not say which brake" in doubt for one in suspects for doubt in one.against)
    assert has_fluid(vehicle) == (kind in FLUID_BRAKES)
    assert light_trailer(vehicle) == (kind in TRAILER_BRAKES)


def test_check_and_narrow_take_it_from_a_log(tmp_path):
    """A van whose front calipers are fixed: slide pins are gone, and nobody asks."""
    text = SAMPLE.read_text(encoding="utf-8")
    log = tmp_path / "van.csv"
    lines = [line for line in text.splitlines(keepends=True) if not line.startswith("# brakes")]
    log.write_text("# brakes: fixed floating\n" + "".join(lines), encoding="utf-8")
    before, after = (package.narrow(path) for path in (SAMPLE, log))
    assert after["next_check"]["id"] != BRAKE_KIND
    assert "slide_pin_seized" in {one["cause"] for one in before["causes"]}
    assert "slide_pin_seized" not in {one["cause"] for one in after["causes"]}

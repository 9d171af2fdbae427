"""Words for what was read beside the brake: a hub, a tyre or a rim is no brake, whatever it is called."""

from __future__ import annotations

import json

import pytest

from thermlog.reading.positions.resolve import spot_of

# A healthy car, twice round, in air of 16 °C (own simple cooling, 1000 s); the line to come lies on the curve
# of the brake of its wheel, so that it passes for a reading of that brake unless its words are understood.
ROWS = (
    (20, "FL", 129), (35, "FR", 126), (50, "RL", 75), (65, "RR", 73),
    (320, "RR", 60), (335, "RL", 60), (350, "FR", 96), (365, "FL", 96),
)  # fmt: skip
HOT = (25, "FL", 128)  # above every line of a hub and a rim (120 °C) and of a tyre (90 °C), docs/suspects.md

HUBS = ("bearing", "wheel bearing", "bearing cap", "grease cap", "hub area", "axle end", "stub axle",
        "wheel nuts", "Radlager", "roulement", "cojinete", "cuscinetto", "wiellager",
        "wheel hub", "wheelhub", "wheel end", "rim hub", "wheel hub cap", "hub face", "Rad Nabe",
        "moyeu de roue",
        "buje rueda", "mozzo ruota", "naaf wiel", "wielnaaf")  # fmt: skip
TYRES = ("tread", "tyre wall", "tire tread", "tyre bead", "tyre shoulder", "rubber", "Reifenflanke",
         "flanc du pneu", "wheel tyre", "rim tire", "tyre outer face", "pneu roue")  # fmt: skip
RIMS = ("rim edge", "wheel rim", "alloy", "Felgenrand")
UNLIKE = ("hub rim", "hub drum", "disc hub", "tyre/rim", "Nabe Felge")


def stops(thermlog, tmp_path, column: str, words: str) -> tuple[int, set[tuple[str, str]]]:
    """Exit code, and what stops the vehicle, where the hot line says these words in this column."""
    lines = [(at, wheel, degc, "") for at, wheel, degc in ROWS]
    lines.insert(1, (*HOT, words))
    rows = "".join(f"{at},{wheel},{degc},{said}\n" for at, wheel, degc, said in lines)
    log = tmp_path / "walk.csv"
    log.write_text(f"# ambient: 16 C\ntime_s,position,temp_c,{column}\n{rows}", encoding="utf-8")
    ran = thermlog("check", str(log), "--format", "json")
    return ran.code, {(one["code"], one["corner"]) for one in json.loads(ran.out)["urgent"]}


@pytest.mark.parametrize("column", ["note", "spot"])
@pytest.mark.parametrize(
    ("words", "code"),
    [
        *((one, "hub_hot") for one in HUBS),
        *((one, "tyre_hot") for one in TYRES),
        *((one, "rim_hot") for one in RIMS),
    ],
)
def test_a_hot_part_beside_the_brake_stops_the_vehicle(thermlog, tmp_path, column, words, code) -> None:
    ran, urgent = stops(thermlog, tmp_path, column, words)
    assert ran == 1
    assert (code, "1L") in urgent


@pytest.mark.parametrize("words", ["on tyre", "at the tyre", "tyre only"])
def test_a_column_of_spots_takes_the_small_words_that_a_remark_may_have(thermlog, tmp_path, words) -> None:
    assert ("tyre_hot", "1L") in stops(thermlog, tmp_path, "spot", words)[1]


@pytest.mark.parametrize("words", ["hub hot", "tyre worn", "wheel hot", "greased the bearing"])
def test_what_a_remark_says_of_a_part_moves_no_reading_there(thermlog, tmp_path, words) -> None:
    """The gun may have been on the brake all the same: the remark is named, the brake keeps its reading."""
    ran, urgent = stops(thermlog, tmp_path, "note", words)
    assert (ran, urgent) == (0, set())


@pytest.mark.parametrize("words", UNLIKE)
def test_unlike_parts_in_one_cell_are_none_of_them_and_clear_nothing(thermlog, tmp_path, words) -> None:
    """Nobody knows of which part it is: the wheel is not cleared, however warm the reading."""
    lines = "".join(
        f"{at},{wheel},{degc},{said}\n"
        for at, wheel, degc, said in [*((*row, "disc") for row in ROWS), (366, "FR", 60, words)]
    )
    log = tmp_path / "walk.csv"
    log.write_text(f"# ambient: 16 C\ntime_s,position,temp_c,spot\n{lines}", encoding="utf-8")
    answers = json.loads(thermlog("check", str(log), "--format", "json").out)["answers"]
    assert answers["drag"]["answer"] == "cannot_tell"
    assert "doubted" in {one["code"] for one in answers["drag"]["reasons"]}


@pytest.mark.parametrize("words", ["wheel disc", "wheel brake disc", "rotor face", "disc brake rotor"])
def test_words_for_the_wheel_beside_the_disc_leave_it_a_disc(words) -> None:
    assert spot_of(words) == "rotor_outer"


def test_words_for_the_wheel_beside_other_parts_that_brake() -> None:
    assert [spot_of(one) for one in ("wheel brake", "wheel drum", "drum outer face", "rotor hat")] == [
        "brake", "drum", "drum", "hat",
    ]  # fmt: skip

"""The parked moment with words that do not touch it; words that may change the hour are never dropped.

All logs are invented. The log that states 10:02 alone is the origin of every expected time.
"""

from __future__ import annotations

import pytest
from readcases import read

from thermlog.words.errors import LogRefusedError

TABLE = "time,position,temp_c\n10:03:15,FL,119\n10:03:30,FR,117\n10:03:45,RR,75\n"


@pytest.mark.parametrize(
    "said",
    [
        *("10:02", "10:02 (yard)", "10:02 yard", "10:02 bay 3", "10:02 (bay 3)"),
        *("10:02 in the yard", "10:02, gate 2"),
        *("about 10:02", "approx 10:02", "approx. 10:02", "ca. 10:02", "~10:02"),
        *("gegen 10:02", "at 10:02", "vers 10:02"),
        *("10:02 approx", "10:02 or so", "around 10:02 (depot)", "10:02 Uhr Hof"),
    ],
)  # fmt: skip
def test_a_place_or_a_rough_word_leaves_the_moment(said: str) -> None:
    readings = read(f"# air 16 C\n# parked: {said}\n{TABLE}").readings

    assert readings.elapsed_s.tolist() == [75, 90, 105]
    assert readings.cases[0].parked_known


@pytest.mark.parametrize("said", ["10:02 (yard)", "ca. 10:02"])
def test_a_note_says_how_the_moment_was_taken(said: str) -> None:
    notes = read(f"# air 16 C\n# parked: {said}\n{TABLE}").record.notes

    assert f'line 2: parked "{said}" taken as 10:02' in notes


@pytest.mark.parametrize(
    "said",
    [
        *(
            "10:02 in the evening",
            "10:02 (evening)",
            "10:02 yesterday",
            "10:02 abends",
            "10:02 yard yesterday",
        ),
        *(
            "10:02 (pm)",
            "10:02 bay 3 pm",
            "10:02?",
            "before 10:02",
            "10:02-10:30",
            "about noon",
            "10.02 bay 3",
        ),
    ],
)
def test_a_word_that_may_change_the_hour_is_never_dropped(said: str) -> None:
    with pytest.raises(LogRefusedError) as refused:
        read(f"# air 16 C\n# parked: {said}\n{TABLE}")

    assert refused.value.code == "parked"


def test_the_afternoon_beside_a_place_is_the_afternoon() -> None:
    table = TABLE.replace("10:03", "22:03")

    assert read(f"# air 16 C\n# parked: 10:02 pm (yard)\n{table}").readings.elapsed_s.tolist() == [
        75,
        90,
        105,
    ]


def test_one_value_in_other_capitals_is_no_contradiction() -> None:
    assert read(f"# ambient: 16 C\n# Air 16 c\n{TABLE}").readings.cases[0].ambient_degc == 16

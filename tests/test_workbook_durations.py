"""Durations in the cells of a workbook: what shows seconds is never read with a factor of 60."""

from __future__ import annotations

import pytest
from bookparts import WHEELS, written
from readcases import read

from thermlog.words.errors import LogRefusedError

# One walk in seconds, shifted, stretched or cut so that a wrong factor of 60 may fit too.
LAPS_S = (0, 12, 25, 37, 240, 252, 265, 278)
WALKS_S = {
    "from zero": LAPS_S,
    "with fractions": (0.4, 12.7, 25.25, 37.9, 240.1, 252.6, 265.375, 278.8),
    "past the hour": tuple(3400 + s for s in LAPS_S),
    "over a day": tuple(90_000 + s for s in LAPS_S),
    "over a day with fractions": tuple(100_000.5 + s for s in LAPS_S),
    "one lap": (0, 15, 30, 45),
    "whole minutes": (0, 60, 120, 180, 600, 660, 720, 780),
    "tens of seconds": (0, 10, 20, 30, 600, 610, 620, 630),
}
SHOWS_SECONDS = (
    "[h]:mm:ss", "h:mm:ss", "hh:mm:ss", "mm:ss", "[mm]:ss", "mm:ss.0", "[h]:mm:ss.000", "[s]", "[ss].00",
    "[$-F400]h:mm:ss\\ AM/PM", "[hh]:mm:ss;@",
)  # fmt: skip


@pytest.mark.parametrize("heading", ["time", "time_s", "elapsed", "Zeit", "durée", "mm:ss", "time (min)"])
@pytest.mark.parametrize("code", SHOWS_SECONDS)
def test_a_duration_whose_seconds_show_is_never_read_sixty_times_too_slow_or_fast(code, heading):
    for name, walk_s in WALKS_S.items():
        cells: list[list[object]] = [[heading, "position", "temp_c"]]
        cells += [[s / 86400, WHEELS[k % 4], 80 + k % 4 - k // 4] for k, s in enumerate(walk_s)]
        found = read(written({"log": cells}, formats={0: code}))
        elapsed_s = found.readings.elapsed_s - found.readings.elapsed_s[0]

        assert found.record.set_aside == (), name
        assert elapsed_s.tolist() == pytest.approx([s - walk_s[0] for s in walk_s], abs=0.002), name


def typed_laps(heading: str, code: str) -> bytes:
    """0:12, 0:25 ... typed for seconds: the sheet keeps minutes past midnight."""
    cells: list[list[object]] = [[heading, "position", "temp_c"]]
    cells += [[s / 1440, WHEELS[k % 4], 80 + k % 4 - k // 4] for k, s in enumerate(LAPS_S)]
    return written({"log": cells}, formats={0: code})


@pytest.mark.parametrize("heading", ["time_s", "Zeit (s)", "mm:ss", "time (min)"])
@pytest.mark.parametrize("code", ["h:mm", "[h]:mm", "h:mm:ss"])
def test_minutes_and_seconds_typed_into_a_sheet_are_read_so(code, heading):
    """Sixty times too slow if the sheet is believed."""
    assert read(typed_laps(heading, code)).readings.elapsed_s.tolist() == list(LAPS_S)


@pytest.mark.parametrize("heading", ["time", "elapsed", "Zeit"])
def test_minutes_and_seconds_typed_into_a_sheet_are_told_by_the_pace_or_refused(heading):
    with pytest.raises(LogRefusedError) as refusal:
        read(
            written(
                {"log": [[heading, "position", "temp_c"], [0.0, "FL", 80], [15 / 1440, "FR", 81]]},
                formats={0: "h:mm"},
            )
        )
    assert refusal.value.code == "two_ways"
    assert read(typed_laps(heading, "h:mm")).readings.elapsed_s.tolist() == list(LAPS_S)

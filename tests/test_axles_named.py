"""A vehicle whose words count its axles has at least so many: one that was not read is never cleared."""

from __future__ import annotations

import pytest
from readcases import read

ROWS = """time_s,position,temp_c
15,1L,86
29,2L,100
78,2R,99
92,1R,84
294,1R,75
308,2R,88
353,2L,88
367,1L,75
"""


@pytest.mark.parametrize(
    ("vehicle", "axles"),
    [
        *(("6x4 tipper 22", 3), ("tipper 22, 3 axles", 3), ("8x4/4 mixer", 4)),
        *(("10x4 crane", 5), ("van 4x4", 2)),
        *(("6-wheeler 22", 3), ("eight-wheeler", 4), ("4-wheeled trailer", 2)),
        *(("3-axle trailer", 3), ("tri trailer 3axle", 3), ("three axle lorry", 3)),
        *(("Dreiachser 5", 3), ("3-Achser", 3)),
        *(("camion 3 essieux", 3), ("remolque 3 ejes", 3), ("lorry 3", 0), ("axle 3 test", 0)),
        *(("6 tonner", 0), ("10-wheeler 3", 0), ("", 0)),
    ],
)  # fmt: skip
def test_words_of_the_vehicle_count_its_axles(vehicle: str, axles: int) -> None:
    case = read(f"# ambient: 16 C\n# vehicle: {vehicle}\n{ROWS}").readings.cases[0]

    assert max(case.axles_least, 2) == max(axles, 2)


def test_the_line_of_axles_has_the_last_word() -> None:
    case = read(f"# ambient: 16 C\n# vehicle: 6x4 tipper\n# axles: 2\n{ROWS}").readings.cases[0]

    assert case.axles_least == 2


@pytest.mark.parametrize("vehicle", ["6x4 tipper 22", "tipper 22, 3 axles"])
def test_an_axle_that_was_not_read_is_not_cleared(thermlog, tmp_path, vehicle: str) -> None:
    """Alone and among many logs, which are read another way."""
    logs = [tmp_path / f"{name}.csv" for name in ("one", "two")]
    for log in logs:
        log.write_text(f"# ambient: 16 C\n# vehicle: {vehicle} {log.stem}\n{ROWS}", encoding="utf-8")

    assert "axle 3 left and axle 3 right: not read" in thermlog("check", str(logs[0])).out
    assert "nothing found" not in thermlog("fleet", *map(str, logs)).out

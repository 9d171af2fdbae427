"""A wheel that the log names and that nobody understood is never cleared, whatever its value.

All logs are invented: four brakes of a van that cool evenly, and one word more beside them.
"""

from __future__ import annotations

import csv
import io
import json

import pytest

HEAD = "# ambient: 15 C\ntime_s,position,temp_c\n"
OUT = "30,LF,109 45,RF,105 60,LR,68 75,RR,70"
BACK = "360,RR,61 375,LR,59 390,RF,89 405,LF,91"


def log_of(*rows: str) -> str:
    return HEAD + "\n".join([*OUT.split(), *rows, *BACK.split()]) + "\n"


@pytest.fixture
def check(thermlog, tmp_path):
    def run(text, *options):
        path = tmp_path / "log.csv"
        path.write_text(text, encoding="utf-8")
        return thermlog("check", str(path), *options)

    return run


def answers(done):
    found = json.loads(done.out)
    return {name: found["answers"][name]["answer"] for name in ("drag", "idle")}, found


@pytest.mark.parametrize("degc", ["16", "40", "67", "90", "109", "150"])
@pytest.mark.parametrize("word", ["zork left", "spare axle L", "LFX", "left", "Q7"])
def test_a_word_nobody_knows_clears_nothing_at_any_value(check, word, degc):
    """From the air (15 °C) over the range of the known brakes (59 to 109 °C) to above it."""
    done = check(log_of(f"90,{word},{degc}"), "--format", "json")
    told, found = answers(done)
    assert done.code == 1
    assert (told["drag"], told["idle"]) == ("cannot_tell", "cannot_tell")
    (entry,) = found["log"]["set_aside"]
    assert entry["line"] == 7


def test_a_word_once_in_the_place_of_a_known_wheel_is_a_slip(check):
    """One round of three has a word nobody knows in place of the left front; its other two are even."""
    even = log_of() + "700,LF,75\n715,RF,74\n730,RR,55\n745,LR,52\n"
    slip = even.replace("405,LF,91", "405,fort lift,91")
    assert check(even).code == 0
    assert check(slip).code == 0
    assert check(slip.replace("LF,75", "fort lift,75")).code == 1  # twice: a wheel of its own
    assert check(even + "760,fort lift,70\n").code == 1  # and no known one lacks a reading
    assert check(slip.replace("fort lift,91", "fort lift,150")).code == 1  # hotter than any
    assert check(slip.replace("fort lift,91", "fort lift,60")).code == 1  # colder than that brake ever was


ROUND = {"LF": (109, 96, 85), "RF": (105, 93, 82), "LR": (68, 61, 56), "RR": (70, 63, 57)}


def rounds(order, *, back=False):
    """Three rounds, five minutes apart, all forward, or the second one back."""
    rows = []
    for turn in range(3):
        for place, wheel in enumerate(order[::-1] if back and turn == 1 else order):
            rows.append((300 * turn + 20 * place, wheel, ROUND[wheel][turn]))
    return rows


def written(rows):
    return HEAD + "".join(f"{at},{wheel},{degc}\n" for at, wheel, degc in rows)


@pytest.mark.parametrize("back", [False, True])
@pytest.mark.parametrize("order", [("LF", "RF", "RR", "LR"), ("LF", "LR", "RR", "RF")])
@pytest.mark.parametrize("gone", ["LF", "RF", "LR", "RR"])
def test_it_is_a_slip_only_at_the_place_of_that_wheel_in_the_round(check, order, gone, back):
    """The second reading of a brake lacks; a word with its value stands at every place of that round in turn.

    Where the wheel stands in the other rounds it is a slip; anywhere else it may be a wheel of its own.
    """
    rows = rounds(order, back=back)
    own = next(k for k, (at, wheel, _) in enumerate(rows) if wheel == gone and 300 <= at < 600)
    rest = rows[:own] + rows[own + 1 :]
    for place in range(4, 8):
        at = 300 + 20 * (place - 4) - 5
        row = (at, "zork", ROUND[gone][1])
        code = check(written([*rest[:place], row, *rest[place:]])).code
        assert code == (0 if place == own else 1), (place, own)


def test_beside_its_own_wheel_it_is_none(check):
    """Each round is whole but the last, which lacks a brake at its end; the word stands elsewhere."""
    rows = rounds(("LF", "RF", "RR", "LR"))[:-1]
    assert check(written(rows)).code == 0
    assert check(written([*rows[:6], (330, "zork", 61), *rows[6:]])).code == 1  # between RF and RR
    assert check(written([*rows, (660, "zork", 61)])).code == 0  # where the left rear would be


def test_the_short_answer_says_which_words_and_lines(check):
    done = check(
        log_of("90,zork left,103", "105,zork right,67", "120,zork left,100", "135,zork left,98"), "-q"
    )
    assert done.code == 1
    assert "cannot be told" in done.out
    assert 'lines 7 to 10, 3 readings: "zork left" is not understood' in done.out
    twice = check(log_of("90,zork left,103", "135,zork left,98"), "-q")
    assert 'lines 7 and 8: "zork left" is not understood' in twice.out


def test_the_list_of_work_says_cannot_tell(thermlog, tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(log_of("90,zork left,67"), encoding="utf-8")
    done = thermlog("fleet", str(path), "--format", "csv")
    (row,) = csv.DictReader(io.StringIO(done.out))
    assert (done.code, row["drag"], row["idle"]) == (1, "cannot_tell", "cannot_tell")


@pytest.mark.parametrize(
    "word", ["engine", "engine oil", "exhaust", "road", "road surface", "diff housing", "max", "average temp"]
)
@pytest.mark.parametrize("degc", ["20", "80", "180"])
def test_what_is_plainly_no_wheel_blocks_nothing(check, word, degc):
    done = check(log_of(f"90,{word},{degc}"), "--format", "json")
    told, found = answers(done)
    hidden = word in {"max", "average temp"} and degc == "180"  # 71 K above all that was read: at some wheel
    expected = (1, "cannot_tell", "cannot_tell") if hidden else (0, "no", "no")
    assert (done.code, told["drag"], told["idle"]) == expected
    assert {one["code"] for one in found["log"]["set_aside"]} <= {"other_part", "summary"}


@pytest.mark.parametrize(("degc", "code"), [("124", 0), ("125", 1)])
def test_a_highest_value_that_no_reading_is_hides_one(check, degc, code):
    """The hottest is 109 °C; 15 K more may be seen beside the place aimed at (`spoken.SWEPT_K`)."""
    assert check(log_of(f"90,Max,{degc}"), "-q").code == code


@pytest.mark.parametrize(
    "word", ["engine left", "trailer engine", "transmission brake", "hub max", "motor L"]
)
def test_such_a_word_beside_that_of_a_wheel_may_be_one(check, word):
    assert check(log_of(f"90,{word},80"), "-q").code == 1


def test_a_question_mark_at_a_known_wheel_is_no_wheel_of_its_own(check):
    assert check(log_of("90,RR ?,66"), "-q").code == 0
    assert check(log_of("90,zork ?,66"), "-q").code == 1


def test_a_temperature_nobody_can_use_at_a_wheel_nobody_knows_hides_it_too(check):
    """An impossible value sets the row aside before its wheel is asked for."""
    assert check(log_of("90,zork left,-60"), "-q").code == 1


def test_two_readings_of_one_line_are_named_by_it(check):
    """A row a wheel, a column a round."""
    rows = ["LF;109;91", "RF;105;89", "LR;68;59", "RR;70;61", "zork left;103;91"]
    done = check("# ambient: 15 C\nwheel;0 min;4 min\n" + "\n".join(rows) + "\n", "-q")
    assert done.code == 1
    assert 'line 7: "zork left" is not understood' in done.out

"""A mark of the gun and a remark count wherever they stand: beside a figure, below the table, in a time.

What a careful technician accepts, written before: a wheel that once showed over range is the hottest until
it is read again, whatever figure somebody wrote beside it; and "RR caliper stuck" means the same as a note
of its row, as a comment, as a line among the rows of any kind of table, or behind a figure. All walks are of
a sound vehicle, so that nothing else keeps the program from "no".
"""

from __future__ import annotations

import json

import pytest

from thermlog.reading.rangemarks import range_mark

LONG = [
    "25,FL,129.6", "41,FR,125.4", "57,RR,81.7", "73,RL,78.5", "235,RL,72.2", "251,RR,74.1",
    "267,FR,105.3", "283,FL,106.1", "445,FL,97.1", "461,FR,94.0", "477,RR,66.8", "493,RL,64.0",
]  # fmt: skip
WIDE = ["25,129.6,125.4,80.5,81.7", "235,106.1,105.3,72.2,74.1", "445,97.1,94.0,64.0,66.8"]
ROUNDS = ["FL,129.6,106.1,97.1", "FR,125.4,105.3,94.0", "RR,81.7,74.1,66.8", "RL,80.5,72.2,64.0"]
TABLES = {
    "long": ("time_s,position,temp_c", LONG),
    "wide": ("time_s,FL,FR,RL,RR", WIDE),
    "rounds": ("position,0:25,3:55,7:25", ROUNDS),
}


@pytest.fixture
def told(thermlog, tmp_path):
    """Exit code, the two answers and what else a log says of itself."""

    def run(text, command="check"):
        log = tmp_path / "walk.csv"
        log.write_text(text, encoding="utf-8")
        ran = thermlog(command, str(log), "--format", "json")
        return ran.code, json.loads(ran.out)

    return run


def walk(layout, *, rows=None, above=("# ambient: 16 C",), below=(), mark=","):
    header, own = TABLES[layout]
    return "\n".join([*above, *(one.replace(",", mark) for one in (header, *(rows or own))), *below]) + "\n"


def answers(found):
    return found["answers"]["drag"]["answer"], found["answers"]["idle"]["answer"]


@pytest.mark.parametrize("layout", list(TABLES))
def test_the_walk_itself_is_sound(told, layout):
    code, found = told(walk(layout))
    assert (code, answers(found)) == (0, ("no", "no"))


# ---- a mark of the gun's range beside a figure ----------------------------------------------------------


@pytest.mark.parametrize(
    "cell",
    [
        "84 OL", "HI/84", "84 (was OL)", "OL then 84", "84/OL", "OL? 84", "84 over range", "84!OL", "84OL",
        "84 °C HI", "84 (>500)", "84, first over 500", "84 OR", "84 zu hoch", "84 dann über 500", "84 O.L",
        "0L", "84 0.L", "no longer OL, 84",
        "84 after the gun had shown OL on two shots, which came down to this in a minute",
    ],
)  # fmt: skip
@pytest.mark.parametrize("round_", ["57,RR,81.7", "477,RR,66.8"])
def test_a_mark_for_over_range_counts_whatever_figure_stands_beside_it(told, cell, round_):
    time, wheel, _ = round_.split(",")
    fresh = f'{time},{wheel},"{cell}"'
    code, found = told(walk("long", rows=[fresh if one == round_ else one for one in LONG]))
    assert code == 1
    assert found["urgent"]
    (aside,) = (one for one in found["log"]["set_aside"] if one["code"] == "over_range")
    assert (aside["corner"], aside["value"][:3]) == ("2R", cell[:3])


@pytest.mark.parametrize(
    ("layout", "old", "new"), [("wide", "66.8", "66.8/OL"), ("rounds", "81.7", "HI 81.7")]
)
def test_it_counts_in_every_layout(told, layout, old, new):
    rows = [one.replace(old, new) for one in TABLES[layout][1]]
    code, found = told(walk(layout, rows=rows))
    assert (code, answers(found)[0]) == (1, "cannot_tell")
    assert found["urgent"]


@pytest.mark.parametrize("cell", ["84 lo", "LO 84", "84 (under range)", "84 low", "84 <0"])
def test_a_mark_for_under_range_counts_likewise(cell):
    assert range_mark(cell) == "under_range"


@pytest.mark.parametrize(
    "cell",
    ["84", "-3.5", "84 C", "84 or 86", "84 or so", "84, no OL", "84 Öl", "84 -> 80", "84>80", "84 ± 2",
     "84 +/- 2", "+84", "1.2e+2", "84 ok", "84 n/a", "over the kerb", "84 ohne Olive", "10L"],
)  # fmt: skip
def test_no_mark_of_the_range(cell):
    assert range_mark(cell) is None


# ---- remarks where no column is for them ----------------------------------------------------------------

HOLDS = ["RR caliper stuck", "RR drags when turned by hand", "RR too hot to touch", "HR schwergängig",
         "NB: RR caliper stuck", "Bemerkung HR Sattel fest", "Defects: RR caliper stuck",
         "RR cooled with water first", "wheel nuts RR loose"]  # fmt: skip
IDLES = ["RR no pads fitted", "hinten rechts bremst nicht", "RR hose disconnected"]
OF_ALL = ["vehicle towed in", "driven with parking brake on", "vehicle was washed", "not driven today"]
WANTED = {
    **dict.fromkeys([*HOLDS, *OF_ALL], "drag"),
    **dict.fromkeys(IDLES, "idle"),
}


def placed(line, where, layout, mark):
    """The sound walk with a line of words somewhere."""
    header = TABLES[layout][0]
    if where == "above":
        return walk(layout, above=("# ambient: 16 C", line), mark=mark)
    if where == "among":
        lines = walk(layout, mark=mark).splitlines()
        return "\n".join([*lines[:4], line, *lines[4:]]) + "\n"
    padded = line + mark * header.count(",") if where == "padded" else line
    return walk(layout, below=(padded,), mark=mark)


@pytest.mark.parametrize("line", WANTED)
@pytest.mark.parametrize("where", ["above", "among", "below"])
def test_a_line_of_words_counts_as_a_comment_does(told, line, where):
    code, found = told(placed(line, where, "long", ","))
    assert (code, found["answers"][WANTED[line]]["answer"]) == (1, "cannot_tell")


@pytest.mark.parametrize("layout", list(TABLES))
@pytest.mark.parametrize("mark", [",", ";", "\t"])
@pytest.mark.parametrize("where", ["among", "below", "padded"])
def test_it_counts_in_every_kind_of_table(told, layout, mark, where):
    for line in ("RR caliper stuck", "vehicle towed in"):
        code, found = told(placed(line, where, layout, mark))
        assert (code, answers(found)[0]) == (1, "cannot_tell")


@pytest.mark.parametrize("where", ["above", "among", "below"])
def test_what_is_not_understood_goes_to_a_person_with_its_wheel(told, where):
    code, found = told(placed("RR looks odd", where, "long", ","))
    assert (code, answers(found)) == (0, ("no", "no"))
    (remark,) = found["unweighed"]
    assert (remark["text"], remark["corner"]) == ("RR looks odd", "2R")


@pytest.mark.parametrize("line", ["end of log", "Runde 2", "600,RR", "vehicle ready"])
def test_lines_that_say_nothing_of_a_brake_stay_quiet(told, line):
    code, found = told(walk("long", below=(line,)))
    assert (code, answers(found), found["unweighed"]) == (0, ("no", "no"), [])


@pytest.mark.parametrize(
    ("words", "question"),
    [("binds", "drag"), ("caliper seized", "drag"), ("too hot to touch", "drag"), ("hot!", "drag"),
     ("hand burnt", "drag"),
     ("wrong wheel", "drag"), ("no pads", "idle"), ("does not brake", "idle"), ("cold", "idle")],
)  # fmt: skip
def test_words_behind_a_figure_are_a_note_of_that_wheel(told, words, question):
    rows = [f"{one.replace('66.8', '84')} {words}" if one.startswith("477") else one for one in LONG]
    code, found = told(walk("long", rows=rows))
    assert (code, found["answers"][question]["answer"]) == (1, "cannot_tell")


def test_words_behind_a_figure_that_no_rule_knows_are_named_with_the_wheel(told):
    code, found = told(walk("long", rows=[one.replace("66.8", "66.8 looks odd") for one in LONG]))
    assert code == 0
    (remark,) = found["unweighed"]
    assert (remark["line"], remark["text"], remark["corner"]) == (13, "looks odd", "2R")


@pytest.mark.parametrize("time", ["57 RR binds", "57 binds"])
def test_words_in_a_time_are_a_note_of_their_row(told, time):
    code, found = told(walk("long", rows=[one.replace("57,", f"{time},") for one in LONG]))
    assert (code, answers(found)[0]) == (1, "cannot_tell")
    assert "said_stuck" in {one["code"] for one in found["answers"]["drag"]["reasons"]}


def test_words_beside_a_wheel_are_a_remark_of_it(told):
    code, found = told(walk("long", rows=[one.replace("477,RR", "477,RR binds") for one in LONG]))
    assert (code, answers(found)[0]) == (1, "cannot_tell")
    assert found["unweighed"][0]["text"] == "RR binds"


@pytest.mark.parametrize("line", ["HR hat leicht gequalmt", "HR hat geraucht", "RR qualmte"])
def test_smoke_in_the_footer_stops_the_vehicle(told, line):
    code, found = told(walk("long", below=(line,)))
    assert code == 1
    assert {one["code"] for one in found["seen"]} == {"smoke"}


@pytest.mark.parametrize("comment", ["# RR caliper stuck", "# vehicle was washed", "# not driven today"])
def test_a_list_of_plain_logs_hears_their_comments_too(thermlog, tmp_path, comment):
    (tmp_path / "van.csv").write_text(walk("long", above=("# ambient: 16 C", comment)), encoding="utf-8")
    assert thermlog("fleet", str(tmp_path)).code == 1

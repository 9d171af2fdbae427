"""Columns that ask something of each wheel, verdicts, lamps and drawn signs beside readings of a sound van.

The figures are those of a sound vehicle in every log. What a careful technician accepts was written before
any of them was run: who ticks "smoke" or answers "turns freely" with no, calls a wheel n.i.O. or draws a fire
beside it, has that wheel not cleared; the same column with the answer that all is well asks for nothing.
Common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from judgedtext import words_and_step

# A walk of a sound van, air 16 °C: levels and cooling as in tests/test_remarks_anywhere.py.
ROWS = [
    (25, "FL", 129.6), (41, "FR", 125.4), (57, "RR", 81.7), (73, "RL", 78.5), (235, "RL", 72.2),
    (251, "RR", 74.1), (267, "FR", 105.3), (283, "FL", 106.1), (445, "FL", 97.1), (461, "FR", 94.0),
    (477, "RR", 66.8), (493, "RL", 64.0),
]  # fmt: skip
# Heading, what stands in the rows of the rear right wheel, what in all others.
OPEN = [
    ("ok?", "no", "yes"), ("i.O.", "nein", "ja"), ("Befund", "n.i.O.", "i.O."), ("status", "NOK", "OK"),
    ("état", "HS", "OK"), ("estado", "mal", "bien"), ("turns freely", "no", "yes"),
    ("dreht frei (j/n)", "n", "j"), ("spins free?", "n", "y"), ("free", "no", "yes"), ("drags", "x", ""),
    ("drags", "yes", "no"), ("schleift", "ja", "nein"), ("frotte", "oui", "non"), ("roza", "sí", "no"),
    ("smoke", "x", ""), ("smoke", "1", "0"), ("smoke?", "Y", "N"), ("Rauch", "ja", "nein"),
    ("fumée", "oui", "non"), ("humo", "sí", "no"), ("glowing", "TRUE", "FALSE"),
    ("too hot to touch", "yes", ""), ("hot to touch", "yes", "no"),
    ("smell", "y", "n"), ("leak", "yes", "no"), ("fluid leak", "✓", ""),
    ("flag", "red", ""), ("traffic light", "R", "G"), ("Ampel", "rot", "grün"), ("lamp", "🔴", "🟢"),
    ("alarm", "1", "0"), ("severity", "critical", "low"), ("warning", "HIGH TEMP", ""),
    ("defect", "yes", "no"), ("Mangel", "ja", "nein"), ("défaut", "oui", "non"), ("seized", "yes", "no"),
    ("bremst", "nein", "ja"), ("freine", "non", "oui"), ("does nothing", "x", ""), ("cold", "yes", "no"),
    ("pads ok", "no", "yes"), ("nuts tight", "no", "yes"), ("loose", "y", "n"), ("valid", "no", "yes"),
    ("use", "no", "yes"), ("bad", "x", ""), ("deleted", "yes", ""), ("re-read", "yes", ""),
    ("outlier", "True", "False"), ("saturated", "1", "0"), ("over range", "yes", "no"),
    ("disc visible", "no", "yes"), ("trim on", "yes", "no"), ("hosed", "yes", "no"), ("🔥", "x", ""),
    ("notes", "🔥", ""), ("notes", "🚨", ""), ("notes", "❌", "✅"), ("notes", "???", ""), ("notes", "?", ""),
    ("notes", "overheated", ""), ("notes", "kaputt", ""),
]  # fmt: skip
CLEAR = [
    ("ok?", "yes", "yes"), ("Befund", "i.O.", "i.O."), ("état", "bon", "bon"), ("turns freely", "yes", "yes"),
    ("dreht frei", "ja", "ja"), ("drags", "no", "no"), ("smoke", "no", "no"), ("smoke", "0", "0"),
    ("smoke", "none", "none"), ("Rauch", "kein", "kein"), ("glow", "FALSE", "FALSE"), ("leak", "✗", "✗"),
    ("fluid leak", "-", ""), ("alarm", "0", "0"), ("alarm", "off", "off"), ("Ampel", "grün", "grün"),
    ("colour", "red", "red"), ("defect", "no", "no"), ("defects", "none", "none"), ("seized", "n", "n"),
    ("pads ok", "y", "y"), ("nuts tight", "✓", "✓"), ("loose", "n", "n"), ("valid", "1", "1"),
    ("over range", "no", "no"), ("low battery", "0", "0"), ("deleted", "", ""),
    ("disc visible", "yes", "yes"),
    ("wet", "n", "n"), ("drum", "x", ""), ("initials", "S", "J"), ("checked", "x", "x"), ("play", "no", "no"),
    ("quality", "good", "good"), ("braked", "yes", "yes"), ("bremst", "ja", "ja"), ("notes", "👍", "👍"),
    ("notes", "✅", "✅"), ("pass", "x", "x"), ("fail", "0", "0"),
]  # fmt: skip
# What is asked is no fault by itself, or is only marked: a person weighs it, and is told so first.
WEIGHED = [
    ("check", "x", ""), ("dirty", "yes", "no"), ("noise", "yes", "no"),
    ("braked", "no", "yes"), ("notes", "⚠️", ""), ("notes", "👎", "👍"), ("notes", "!!!", ""),
]  # fmt: skip
# Above the table, of no column.
SAID_OPEN = [
    "turns freely: no", "dreht frei: nein", "status: NOK", "Befund: n.i.O.", "result: fail", "RR 🔥", "🔥 RR",
    "RR = 🔥", "RR ???", "RR u/s", "RR averiado", "RR defekt", "RR kaputt", "RR knackered",
    "one wheel much hotter than the others", "links viel heißer als rechts", "the left was much hotter",
    "rolls hard", "needs a lot of throttle to move", "coche frenado", "won't coast", "stops badly",
    "bad braking", "mauvais freinage", "frena mal", "bremst schlecht", "parked overnight",
    "stood for two hours before reading", "readings taken next morning", "read cold, before leaving",
    "did not drive, only rolled out of the bay", "driven through a ford",
]  # fmt: skip
SAID_WEIGHED = [
    "RR ⚠️", "RR!!!", "wheel felt hot on the way", "used a different gun for the rear",
    "rear wheels read with the other gun", "left side in the sun", "Seiten von vorn gesehen",
    "fuel consumption up", "aimed by eye",
]  # fmt: skip
SAID_CLEAR = [
    "turns freely: yes", "dreht frei: ja", "status: OK", "Befund: i.O.", "result: pass", "👍", "thanks 🙏",
    "hot day ☀", "colour: red", "parked in the yard, stood for 2 min", "smooth road", "tyres rated 100 psi",
    "Halle 3, Stand 2", "no drive problems", "all good", "alles in Ordnung", "todo bien", "rien à signaler",
    "brakes tested last month, not bad",
]  # fmt: skip


@pytest.fixture
def told(thermlog):
    """Exit code, the words of both answers, and what to do next."""

    return lambda text: words_and_step(thermlog, text)


def with_column(heading, rear_right, others):
    """The walk with one column more."""
    rows = [f"{at},{wheel},{degc},{rear_right if wheel == 'RR' else others}" for at, wheel, degc in ROWS]
    return "\n".join(["# ambient: 16 C", f"time_s,position,temp_c,{heading}", *rows, ""])


def with_line(line, mark="# "):
    """The walk with one line above its table."""
    rows = [f"{at},{wheel},{degc}" for at, wheel, degc in ROWS]
    return "\n".join(["# ambient: 16 C", f"{mark}{line}", "time_s,position,temp_c", *rows, ""])


@pytest.mark.parametrize(("heading", "rear_right", "others"), OPEN)
def test_what_a_column_says_against_a_wheel_is_heard(told, heading, rear_right, others):
    code, words, _ = told(with_column(heading, rear_right, others))
    assert (code, "cannot_tell" in words) == (1, True)


@pytest.mark.parametrize(("heading", "rear_right", "others"), CLEAR)
def test_a_column_that_says_all_is_well_asks_for_nothing(told, heading, rear_right, others):
    assert told(with_column(heading, rear_right, others)) == (0, {"no"}, "keep_record")


@pytest.mark.parametrize(("heading", "rear_right", "others"), WEIGHED)
def test_what_is_marked_at_one_wheel_is_weighed_first(told, heading, rear_right, others):
    assert told(with_column(heading, rear_right, others)) == (0, {"no"}, "weigh_remark")


@pytest.mark.parametrize("mark", ["# ", ""])
@pytest.mark.parametrize("line", SAID_OPEN)
def test_a_line_that_says_so_clears_nothing(told, line, mark):
    code, words, _ = told(with_line(line, mark))
    assert (code, "cannot_tell" in words) == (1, True)


@pytest.mark.parametrize("line", SAID_WEIGHED)
def test_a_line_that_may_matter_is_weighed_first(told, line):
    assert told(with_line(line)) == (0, {"no"}, "weigh_remark")


@pytest.mark.parametrize("line", SAID_CLEAR)
def test_a_line_that_says_nothing_of_the_kind_asks_for_nothing(told, line):
    assert told(with_line(line)) == (0, {"no"}, "keep_record")


def test_the_wheel_of_the_row_is_the_one_that_is_open(told):
    """A wheel that does not turn freely may drag; the three others were read and are even."""
    Path("walk.csv").write_text(with_column("turns freely", "no", "yes"), encoding="utf-8")
    code, words, next_check = told(with_column("turns freely", "no", "yes"))
    assert (code, words) == (1, {"cannot_tell"})
    assert next_check != "keep_record"


def test_a_column_of_a_table_with_a_column_a_wheel_is_of_no_wheel(told):
    """ "smoke" ticked in a round: nobody says where, so every wheel stays open."""
    rounds = "0,129.6,125.4,78.5,81.7,\n210,106.1,105.3,72.2,74.1,yes\n420,97.1,94.0,64.0,66.8,\n"
    code, words, _ = told(f"# ambient: 16 C\ntime_s,FL,FR,RL,RR,smoke\n{rounds}")
    assert (code, "cannot_tell" in words) == (1, True)


def test_a_round_in_a_column_answers_for_its_row(told):
    """A row a wheel, a column a round: the tick is of the wheel of its row."""
    text = (
        "# ambient: 16 C\nposition,0:25,3:55,7:25,drags\nFL,129.6,106.1,97.1,\nFR,125.4,105.3,94.0,\n"
        "RL,78.5,72.2,64.0,\nRR,81.7,74.1,66.8,x\n"
    )
    Path("walk.csv").write_text(text, encoding="utf-8")
    code, words, _ = told(text)
    assert (code, words) == (1, {"cannot_tell"})


@pytest.mark.parametrize(
    ("heading", "answer", "others"),
    [("smoke", "yes", "no"), ("fluid leak", "✓", ""), ("turns freely", "n", "y"), ("Rauch", "ja", "nein")],
)
def test_a_log_that_cannot_be_read_says_so_too(thermlog, heading, answer, others):
    """There is no column of temperatures, and yet it stops the vehicle; answered otherwise it does not."""
    text = f"time_s,position,mood,{heading}\n1,FL,good,{others}\n2,RR,good,{{}}\n3,RL,good,{others}\n"
    Path("told.csv").write_text(text.format(answer), encoding="utf-8")
    Path("fine.csv").write_text(text.format(others), encoding="utf-8")
    told, fine = thermlog("check", "told.csv"), thermlog("check", "fine.csv")
    assert (told.code, "STOP" in told.err, "RR" in told.err.splitlines()[0]) == (3, True, True)
    assert (fine.code, "STOP" in fine.err) == (3, False)


@pytest.mark.parametrize(
    ("heading", "rear_right", "others"),
    [
        ("caliper", "seized", "free"), ("slides", "stuck", "free"), ("pads", "gone", "ok"),
        ("disc", "cracked", "ok"), ("handbrake cable", "tight", "slack"), ("tyre", "flat", "ok"),
        ("hub seal", "leaking", "dry"), ("status", "INVALID", "VALID"), ("status", "ERR", "OK"),
        ("flag", "bad", "good"), ("verdict", "dead", "ok"), ("Urteil", "schleift", "frei"),
        ("smoke/smell", "Y", "N"), ("feel", "hot", ""),
    ],
)  # fmt: skip
def test_a_word_below_its_part_or_below_a_verdict_is_heard(told, heading, rear_right, others):
    code, _, next_check = told(with_column(heading, rear_right, others))
    assert (code, next_check == "keep_record") == (1, False)


@pytest.mark.parametrize(
    ("heading", "rear_right"),
    [("status", "WARN"), ("diagnosis", "caliper"), ("DTC", "C0040"), ("flag", "odd")],
)
def test_a_verdict_that_few_rows_have_is_weighed_first(told, heading, rear_right):
    assert told(with_column(heading, rear_right, "")) == (0, {"no"}, "weigh_remark")


@pytest.mark.parametrize(
    ("heading", "everywhere"),
    [
        ("caliper", "free"), ("caliper", "floating"), ("slides", "free"), ("disc", "vented"), ("disc", "ok"),
        ("pads", "8 mm"), ("tyre", "205/55 R16"), ("hub seal", "dry"), ("status", "NORMAL"), ("feel", "warm"),
        ("nuts missing", "0"), ("smoke/smell", "n"), ("action", "none"), ("fault code", "0"),
        ("rim", "alloy"),
    ],
)  # fmt: skip
def test_a_state_that_is_as_it_should_be_asks_for_nothing(told, heading, everywhere):
    assert told(with_column(heading, everywhere, everywhere)) == (0, {"no"}, "keep_record")

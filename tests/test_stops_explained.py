"""What stopped a vehicle is explained by what the log after the repair states, and by nothing less.

A careful technician lets smoke go only where somebody looked and saw none, and where its cause is known: a
fault that was called there and is shown to be gone, or what the log says was found and mended. What the gun
found too hot has to be read again there, too.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from msgspec.structs import replace
from proofcases import HEALTHY, HOT_REAR, HUBS, compared, drive

from thermlog.reading.read import read_log
from thermlog.reports.contract.beside import CompareObject
from thermlog.reports.report_proof import comparison_text
from thermlog.words.findings import Urgent
from thermlog.words.tables import Taken

SMOKE = Urgent(code="smoke", corner="2R")
MENDED, LOOKED = Taken(repair="new caliper rear right"), Taken(nothing_seen=True)
BOTH = Taken(repair="new caliper rear right", nothing_seen=True)


def after(urgent, taken=None, before=HEALTHY, now=HEALTHY):
    """A drive that something stopped, and one after it of which its log states this."""
    return compared(replace(drive(before), urgent=(urgent,)), replace(drive(now), taken=taken))


@pytest.mark.parametrize(
    "code", ["smoke", "glow", "flame", "sparks", "steam", "smell", "burst", "melted", "grease", "locked"]
)
@pytest.mark.parametrize("corner", ["2R", None])
def test_what_was_seen_needs_a_look_and_a_cause(code, corner):
    seen = Urgent(code=code, corner=corner)
    explained = {
        (stated, mended)
        for stated, taken in (("", None), ("repair", MENDED), ("look", LOOKED), ("both", BOTH))
        for mended, before in (("even", HEALTHY), ("drag gone", HOT_REAR))
        if not after(seen, taken, before).open_or_flagged
    }
    assert explained == {("both", "even"), ("both", "drag gone"), ("look", "drag gone")}


def test_a_leak_is_explained_by_no_drag_that_is_gone():
    leak = Urgent(code="leak", corner="2R")
    assert after(leak, LOOKED, HOT_REAR).open_or_flagged
    assert not after(leak, BOTH, HOT_REAR).open_or_flagged


def test_a_drag_elsewhere_or_one_that_is_left_explains_no_smoke():
    assert after(replace(SMOKE, corner="1L"), LOOKED, HOT_REAR).open_or_flagged
    assert after(SMOKE, LOOKED, HOT_REAR, HOT_REAR).open_or_flagged
    assert after(Urgent(code="smoke"), LOOKED, HOT_REAR, HEALTHY | {"1L": 160.0}).open_or_flagged


PARTS = {
    "tyre": Urgent(code="tyre_hot", corner="2R", spot="tyre_outer", value_degc=96.0),
    "rim": Urgent(code="rim_hot", corner="2R", spot="rim", value_degc=150.0),
    "hub": Urgent(code="hub_hot", corner="2R", spot="hub", value_degc=89.0),
    "range": Urgent(code="over_range", corner="2R", spot="brake"),
    "brake": Urgent(code="brake_hot", corner="2R", spot="brake", value_degc=310.0),
}


@pytest.mark.parametrize(("part", "spot"), [("tyre", "tyre_outer"), ("rim", "rim"), ("hub", "hub")])
def test_a_part_that_was_too_hot_needs_a_repair_and_to_be_read_again(part, spot):
    again = HEALTHY | {f"2L {spot}": 20.0, f"2R {spot}": 21.0}
    assert after(PARTS[part], BOTH).open_or_flagged, "not read again"
    assert after(PARTS[part], LOOKED, now=again).open_or_flagged, "nothing mended"
    assert not after(PARTS[part], MENDED, now=again).open_or_flagged


@pytest.mark.parametrize("part", ["range", "brake"])
def test_a_brake_that_was_too_hot_needs_a_repair(part):
    assert after(PARTS[part], LOOKED).open_or_flagged
    assert not after(PARTS[part], MENDED).open_or_flagged
    without = {corner: rise for corner, rise in HEALTHY.items() if corner != "2R"}
    assert after(PARTS[part], MENDED, now=without).open_or_flagged, "that brake was not read"


def smoky(taken=None):
    return replace(drive(HEALTHY), urgent=(SMOKE,), taken=taken)


def test_an_explanation_stands_in_every_later_drive_and_in_none_before():
    """Once explained it stays so; smoke that came again after the repair is not by what was before."""
    mended, plain = replace(drive(HEALTHY), taken=BOTH), drive(HEALTHY)
    assert not compared(smoky(), mended, plain).open_or_flagged
    assert not compared(smoky(), replace(plain, taken=LOOKED), replace(plain, taken=MENDED)).open_or_flagged
    assert compared(smoky(), mended, smoky(), plain).open_or_flagged
    assert compared(mended, smoky(), plain).open_or_flagged
    assert not compared(
        smoky(), mended, smoky(), replace(plain, taken=replace(BOTH, repair="new hose"))
    ).open_or_flagged


def test_a_repair_that_stands_above_the_drive_that_smoked_was_before_it():
    assert compared(smoky(MENDED), replace(drive(HEALTHY), taken=BOTH)).open_or_flagged
    assert not compared(
        smoky(MENDED), replace(drive(HEALTHY), taken=replace(BOTH, repair="new hose"))
    ).open_or_flagged


def test_what_to_add_is_said_where_it_is_missing_and_nothing_where_it_is_not():
    for open_one in (after(SMOKE), after(PARTS["hub"], now=HEALTHY | HUBS)):
        assert "(# repair: ...)" in open_one.next_check.question
        assert "(# seen: nothing, if so)" in open_one.next_check.question
    settled = after(SMOKE, BOTH)
    assert settled.next_check.id == "keep_record"
    told = CompareObject.of(settled)
    assert (told.unexplained, [one.code for one in told.stopped_before]) == (False, ["was_seen_settled"])
    assert "moke seen at rear right before, not now, and its cause is found" in comparison_text(settled)
    # somebody looked, but nobody knows why: that nothing is seen now is said, and no more
    assert after(SMOKE, LOOKED).stops[0].reason.code == "was_seen_looked"
    assert after(SMOKE, MENDED).stops[0].reason.code == "was_seen"


ROWS = "# ambient: 18 C\ntime_s,position,temp_c\n20,1L,60\n40,1R,61\n60,2L,50\n80,2R,51\n"


def taken(head: str) -> Taken | None:
    Path("log.csv").write_text(head + ROWS, encoding="utf-8")
    return read_log("log.csv").readings.cases[0].taken


@pytest.mark.parametrize(
    "said", ["nothing", "None", "no", "all ok", "OK", "nothing seen", "nichts", "rien", "nada"]
)
def test_a_log_can_say_that_nothing_was_seen(said):
    assert taken(f"# seen: {said}\n") == Taken(nothing_seen=True)


@pytest.mark.parametrize(
    "said",
    ["no smoke", "nothing at RF", "n/a", "?", "not looked", "mist", "smoke", "nothing, smell", "no glow"],
)
def test_less_than_nothing_at_all_is_no_look(said):
    assert not (taken(f"# seen: {said}\n") or Taken()).nothing_seen


def test_smoke_said_anywhere_else_outweighs_a_nothing():
    assert not (taken("# seen: nothing\n# smoke at RF\n") or Taken()).nothing_seen
    assert not (taken("# seen: nothing\n# seen: smell\n") or Taken()).nothing_seen
    assert taken("# seen: nothing\n# seen: ok\n") == Taken(nothing_seen=True)


@pytest.mark.parametrize("key", ["repair", "repaired", "Cause", "cause found", "Reparatur", "mended"])
def test_a_log_can_say_what_was_found_and_mended(key):
    assert taken(f"# {key}: new hose front left\n") == Taken(repair="new hose front left")


@pytest.mark.parametrize(
    "said", ["none", "nothing", "not found", "unknown", "nothing found yet", "?", "-", "none yet"]
)
def test_a_repair_that_was_none_is_none(said):
    stated = taken(f"# repair: {said}\n") or Taken()
    assert stated.repair is None
    assert stated.unrepaired is (said not in {"unknown", "?", "-"})


def test_what_a_repair_cured_is_past_only_where_somebody_looked():
    cured = "# repair: seized caliper, it was smoking at RR\n"
    Path("log.csv").write_text(cured + ROWS)
    assert [one.code for one in read_log("log.csv").readings.cases[0].seen] == ["smoke"]
    Path("log.csv").write_text(cured + "# seen: nothing\n" + ROWS)
    (case,) = read_log("log.csv").readings.cases
    assert case.seen == ()
    assert case.taken == Taken(repair="seized caliper, it was smoking at RR", nothing_seen=True)
    Path("log.csv").write_text(cured + "# seen: smell\n" + ROWS)
    assert {one.code for one in read_log("log.csv").readings.cases[0].seen} == {"smoke", "smell"}


def test_from_two_logs_to_the_exit_code(thermlog):
    """The whole way: smoke on a healthy walk, and three logs after it."""
    smoked = "# seen: smoke at RR\n"
    walk = "".join(
        f"{15 + 200 * turn + 16 * k},{corner},{18 + rise * 0.85**turn:.1f}\n"
        for turn in range(3)
        for k, (corner, rise) in enumerate({"1L": 90, "1R": 89, "2L": 60, "2R": 61}.items())
    )
    head = "# weight: light\n# axles: steer axle\n# brakes: disc disc\n# ambient: 18 C\n"
    for name, beside in (
        ("before", smoked), ("plain", ""), ("looked", "# seen: nothing\n"),
        ("both", "# seen: nothing\n# repair: new brake hose rear\n"),
    ):  # fmt: skip
        Path(f"{name}.csv").write_text(f"{head}{beside}time_s,position,temp_c\n{walk}")
    codes = {
        name: thermlog("compare", "before.csv", f"{name}.csv").code for name in ("plain", "looked", "both")
    }
    assert codes == {"plain": 1, "looked": 1, "both": 0}

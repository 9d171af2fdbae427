"""The walks of a folder without any network: begin, sync, several people, a server that was started anew."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest
from walkcases import VAN, HandClock

from thermlog.bay.door import BURST, EACH_S, WRONG_CODES, WRONG_WITHIN_S, Door, Pace
from thermlog.bay.messages import Checks, NewWalk, Sync
from thermlog.bay.shelf import MOST_WALKS, Shelf, refuse_shelf
from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one
from thermlog.taking.entries import Entry
from thermlog.words.errors import OptionError, OutputError, WalkError

WALK = "abcdefgh12"


def shelf(clock: HandClock | None = None, boot: str = "b1") -> tuple[Shelf, HandClock]:
    clock = clock or HandClock()
    return Shelf(Path(), Settings(), clock.clocks(boot)), clock


def begun(**about: str) -> tuple[Shelf, HandClock]:
    one, clock = shelf()
    one.begin(NewWalk(walk=WALK, **about))
    return one, clock


def parked(key: str = "p") -> Entry:
    return Entry(key=key, kind="parked", wall="2031-05-04T12:00:00+02:00")


def reading(key: str, corner: str, cell: str, at: float, **more: str) -> Entry:
    return Entry(key=key, kind="reading", corner=corner, cell=cell, elapsed_s=at, **more)


def van(by: str = "") -> list[Entry]:
    rows = [reading(f"k{n}", wheel, shown, float(at), by=by) for n, (at, wheel, shown) in enumerate(VAN)]
    return [Entry(key="air", kind="air", cell="18", by=by), *rows]


def told(path: Path):
    return next(iter(run_one(str(path), Settings()).findings()))


def test_a_walk_gives_the_answers_of_the_same_readings_typed():
    one, clock = begun(vehicle="van 7")
    one.sync(WALK, Sync(elapsed_s=0.0, entries=[parked()]))
    clock.s += 400.0
    said = one.sync(WALK, Sync(elapsed_s=400.0, entries=van(), known=1))
    (file,) = Path().glob("*.csv")
    Path("typed.csv").write_text(
        "# axles: steer axle\nsince_parked_s,position,temp_c\n0,ambient,18\n"
        + "".join(f"{at},{wheel},{shown}\n" for at, wheel, shown in VAN)
    )
    assert file.name == f"van-7-{WALK}.csv"
    assert (told(file).answers, told(file).corners) == (
        told(Path("typed.csv")).answers,
        told(Path("typed.csv")).corners,
    )
    assert [one.word for one in said.view.answers] == ["yes", "no"]
    assert said.view.states["1L"] == "hot"
    assert (said.view.settled, said.view.next, said.view.checks) == (True, None, True)


def test_what_is_sent_twice_is_one():
    one, _ = begun()
    for _ in range(3):
        said = one.sync(WALK, Sync(elapsed_s=400.0, entries=[parked(), *van()]))
    assert (said.count, said.refused) == (len(VAN) + 2, {})
    (file,) = Path().glob("*.csv")
    assert file.read_text().count("k3@") == 1


def test_each_page_gets_what_the_others_took():
    """Two people: what one enters the other gets at the next sync, once."""
    one, _ = begun()
    one.sync(WALK, Sync(elapsed_s=10.0, entries=[parked()]))
    first = one.sync(WALK, Sync(elapsed_s=30.0, entries=van("AB")[:3], known=1))
    second = one.sync(WALK, Sync(elapsed_s=31.0, entries=[reading("x1", "2L", "69", 29.0, by="CD")], known=1))
    again = one.sync(WALK, Sync(known=second.count))
    assert [e.key for e in first.entries] == ["air", "k0", "k1"]
    assert [e.key for e in second.entries] == ["air", "k0", "k1", "x1"]
    assert (again.entries, again.count) == ([], 5)
    assert [(walk.walk, walk.readings) for walk in one.listed()] == [(WALK, 3)]


def test_the_server_takes_the_moment_of_the_stop_from_the_page():
    """Parked ten minutes ago, out of reach until now: the clock stands at ten minutes, and goes on."""
    one, clock = begun()
    said = one.sync(WALK, Sync(elapsed_s=600.0, entries=[parked(), reading("a", "1L", "80", 20.0)]))
    assert said.elapsed_s == pytest.approx(600.0)
    clock.s += 5.0
    clock.set_by_s -= 3600.0
    assert one.sync(WALK, Sync(known=2)).elapsed_s == pytest.approx(605.0)


def test_a_server_started_anew_goes_on_with_the_walk():
    one, clock = begun(vehicle="Truck 12/../../x", unit="F")
    one.sync(WALK, Sync(elapsed_s=0.0, entries=[parked(), reading("a", "1L", "180", 0.0)]))
    one.close()
    clock.s += 90.0
    again, _ = shelf(clock)
    said = again.sync(WALK, Sync(entries=[reading("a", "1L", "180", 0.0), reading("b", "1R", "175", 88.0)]))
    assert (said.count, said.elapsed_s, said.refused) == (3, pytest.approx(90.0), {})
    (file,) = Path().glob("*.csv")
    assert file.name == f"truck-12-x-{WALK}.csv"


@pytest.mark.parametrize(
    "wrong",
    [
        {"corner": "3L"}, {"corner": ""}, {"corner": "zz"}, {"cell": "80;rm"}, {"cell": ""}, {"by": "a\nb"},
        {"elapsed_s": -5.0}, {"elapsed_s": 1e9}, {"key": "../x"}, {"wall": "2031-05-04T12:00:00\n"},
    ],
)  # fmt: skip
def test_an_entry_that_cannot_be_is_told_and_the_others_are_kept(wrong):
    one, _ = begun()
    right = {"key": "bad", "kind": "reading", "corner": "1L", "cell": "80", "elapsed_s": 5.0}
    bad = Entry(**(right | wrong))
    said = one.sync(WALK, Sync(elapsed_s=9.0, entries=[parked(), bad, reading("good", "1L", "81", 6.0)]))
    assert list(said.refused) == [bad.key]
    assert [e.key for e in said.entries] == ["p", "good"]
    (file,) = Path().glob("*.csv")
    assert "80;rm" not in file.read_text()


def test_a_full_disk_is_no_fault_of_the_entry(monkeypatch):
    """The page is told and keeps it; sent again when there is room it is kept."""
    one, _ = begun()
    one.sync(WALK, Sync(elapsed_s=9.0, entries=[parked()]))

    def full(*_):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as disk:
        disk.setattr(os, "write", full)
        with pytest.raises(OutputError, match="No space left"):
            one.sync(WALK, Sync(entries=[reading("a", "1L", "80", 5.0)]))
    assert one.sync(WALK, Sync(entries=[reading("a", "1L", "80", 5.0)])).count == 2


def test_what_was_kept_before_the_disk_was_full_is_judged(monkeypatch):
    one, _ = begun()
    one.sync(WALK, Sync(elapsed_s=9.0, entries=[parked()]))
    write, left = os.write, [1]

    def one_more(number, data):
        if not left:
            raise OSError(errno.ENOSPC, "No space left on device")
        left.pop()
        return write(number, data)

    two = [reading("a", "1L", "OL", 5.0), reading("b", "1R", "80", 6.0)]
    with monkeypatch.context() as disk:
        disk.setattr(os, "write", one_more)
        with pytest.raises(OutputError):
            one.sync(WALK, Sync(entries=two))
    assert one.sync(WALK, Sync(entries=two[:1])).view.urgent == "reading above the gun's range at front left"


def test_a_question_goes_with_its_answer():
    """Asked until the reading is kept or taken back; a wheel out of its curve, a digit too many."""
    one, _ = begun()
    one.sync(WALK, Sync(elapsed_s=90.0, entries=[parked(), *van()[:5]]))
    said = one.sync(WALK, Sync(entries=[reading("odd", "2L", "630", 80.0)]))
    assert [(q.key, q.corner) for q in said.questions] == [("odd", "2L")]
    assert "rear left: 630 °C? With a digit less it would fit: 63 °C." in said.questions[0].text
    assert one.sync(WALK, Sync(kept=["odd"])).questions == []
    said = one.sync(WALK, Sync(entries=[reading("odd2", "2R", "670", 82.0)]))
    assert [q.key for q in said.questions] == ["odd2"]
    back = Entry(key="u", kind="taken_back", target="odd2", elapsed_s=85.0)
    assert one.sync(WALK, Sync(entries=[back])).questions == []


def test_one_shot_never_calls_a_brake():
    one, _ = begun()
    said = one.sync(WALK, Sync(elapsed_s=90.0, entries=[parked(), *van()[:5]]))
    assert [one.word for one in said.view.answers] == ["watch", "no"]
    assert said.view.settled is False


def test_a_reading_beyond_the_range_is_urgent_at_once():
    one, _ = begun()
    said = one.sync(WALK, Sync(elapsed_s=30.0, entries=[parked(), reading("a", "1R", "OL", 20.0)]))
    assert said.view.urgent == "reading above the gun's range at front right"
    assert said.view.refusal.startswith("above the gun's range")  # and no path of this computer


def test_the_texts_speak_the_unit_that_is_shown():
    one, _ = begun()
    one.sync(WALK, Sync(elapsed_s=90.0, entries=[parked(), reading("a", "1R", "305", 20.0), *van()[:4]]))
    urgent = {show: one.sync(WALK, Sync(show=show)).view.urgent for show in ("C", "F")}
    assert urgent == {"C": "brake front right 305 °C", "F": "brake front right 581 °F"}  # 305 x 1.8 + 32


def test_the_checks_are_those_of_narrow():
    one, _ = begun()
    with pytest.raises(WalkError, match="read the wheels first"):
        one.checks(WALK, Checks())
    one.sync(WALK, Sync(elapsed_s=400.0, entries=[parked(), *van()]))
    (file,) = Path().glob("*.csv")
    done = run_one(str(file), Settings())
    first = done.narrowed(0, next(iter(done.findings())))
    asked = one.checks(WALK, Checks())
    assert (asked.id, [a.id for a in asked.answers]) == (first.check.id, [a.id for a in first.answers])
    following = one.checks(WALK, Checks(found=[(asked.id, asked.answers[0].id)]))
    assert following.id != asked.id
    with pytest.raises(OptionError):
        one.checks(WALK, Checks(found=[(asked.id, "moon")]))


def test_one_of_several_suspects_is_chosen_and_each_search_has_its_own_answers():
    """A dead brake in front and one that drags behind: the severest first, the other one tap away."""
    one, _ = begun()
    cells = {"1L": "24", "2L": "68", "2R": "130", "1R": "108"}
    rows = [
        reading(
            f"k{n}{corner}",
            corner,
            str(int(float(cell) - 12 * n)) if corner != "1L" else cell,
            30.0 + 15 * k + 230 * n,
        )
        for n in range(3)
        for k, (corner, cell) in enumerate(cells.items())
    ]
    one.sync(WALK, Sync(elapsed_s=600.0, entries=[parked(), Entry(key="air", kind="air", cell="18"), *rows]))
    first = one.checks(WALK, Checks())
    assert (first.about.at, first.about.words) == ("1L", "front left does not work")
    (other,) = first.others
    assert other.words == "rear right drags"
    told = [(first.id, first.answers[0].id)]
    assert one.checks(WALK, Checks(found=told, at="1L")).id != first.id
    there = one.checks(WALK, Checks(at=other.at))
    assert (there.about.at, there.others[0].at) == (other.at, "1L")
    assert "Another job" not in there.ending
    # Where a suspect is none any more, neither are the answers that were given about it.
    assert one.checks(WALK, Checks(found=told, at="2L")) == first


def test_a_server_holds_a_bounded_number_of_walks():
    one, _ = shelf()
    for n in range(MOST_WALKS):
        one.begin(NewWalk(walk=f"walk{n:06d}"))
    one.begin(NewWalk(walk="walk000001"))  # it is there
    with pytest.raises(WalkError, match="start it again"):
        one.begin(NewWalk(walk="onemorewalk"))
    one.close()


@pytest.mark.parametrize("name", ["../etc", "ABCDEFGH", "short", "x" * 25, "", "abcdefgh.csv", "abc/defgh"])
def test_only_names_of_walks_are_looked_for(name):
    one, _ = begun()
    with pytest.raises(WalkError, match="no such walk"):
        one.sync(name, Sync())


def test_a_link_in_the_folder_is_not_followed():
    one, _ = shelf()
    outside = Path("elsewhere")
    outside.mkdir()
    (outside / "secret.csv").write_text("x")
    Path("linkedwalk1.csv").symlink_to(outside / "secret.csv")
    with pytest.raises(WalkError, match="no such walk"):
        one.log("linkedwalk1")


@pytest.mark.parametrize("folder", ["nowhere", "file"])
def test_a_folder_that_cannot_be_written_to_is_refused(folder):
    Path("file").write_text("x")
    with pytest.raises(WalkError, match="no folder that can be written to"):
        refuse_shelf(Path(folder))


# ---- door -----------------------------------------------------------------------------------------------


def test_a_code_opens_once_and_the_next_one_is_another():
    door = Door(now=lambda: 0.0)
    first = door.code
    token = door.knock(first, "a")
    assert door.knows(token)
    assert door.code != first
    assert door.knock(first, "a") is None
    assert not door.knows("")
    assert not door.knows(first)


def test_too_many_wrong_codes_close_the_door_to_their_address_for_a_while():
    clock = HandClock()
    door = Door(now=lambda: clock.s)
    for _ in range(WRONG_CODES):
        assert door.knock("wrong", "a") is None
    assert door.knock(door.code, "a") is None
    assert door.knock(door.code, "b") is not None
    clock.s += WRONG_WITHIN_S + 1.0
    assert door.knock(door.code, "a") is not None


def test_haste_is_stopped_and_forgiven():
    clock = HandClock()
    pace = Pace(now=lambda: clock.s)
    assert [pace.allows("a") for _ in range(int(BURST) + 1)] == [True] * int(BURST) + [False]
    assert pace.allows("b")
    clock.s += 1.01 / EACH_S
    assert [pace.allows("a"), pace.allows("a")] == [True, False]


def test_addresses_are_forgotten_before_they_fill_the_memory():
    pace = Pace(now=lambda: 0.0)
    for n in range(5000):
        pace.allows(str(n))
    assert len(pace.left) <= 2000

"""The page of the bay in a real browser: taps, first keys, questions, targets, units, chart, checks."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from browser import opened, texts_of
from phones import phone, rows, told
from shopserver import shop
from walkcases import VAN

from thermlog.reports.report_text import last_words
from thermlog.words.seenwords import SEEN_WORDS


def test_a_walk_on_a_phone_gives_the_answers_of_the_same_readings_typed(browser, here):
    """Taps alone; two rounds; both answers on the page; the log is judged as if it had been typed."""
    with phone(browser, here) as hand:
        hand.walked()
        assert "yes: front left" in hand.page.inner_text("#answers")
        assert "Both questions are answered." in hand.page.inner_text("#answers")
        assert "HOT" in hand.tile("1L")
        assert hand.line() == "✓ 8 readings kept"
    (file,) = here.logs()
    readings = next(iter(here.shelf._open.values())).journal.walk.readings()
    assert [one.elapsed_s for one in readings] == pytest.approx([at for at, *_ in VAN], abs=8.0)
    typed = "".join(f"{one.elapsed_s},{one.corner},{one.cell}\n" for one in readings)
    Path("typed.csv").write_text(
        f"# axles: steer axle\n# drive: normal\nsince_parked_s,position,temp_c\n0,ambient,18\n{typed}"
    )
    mine, same = told(file), told(Path("typed.csv"))
    for one, other in zip(mine.answers.each, same.answers.each, strict=True):
        assert (one.answer, one.corners, one.p) == (
            other.answer,
            other.corners,
            pytest.approx(other.p, rel=1e-6),
        )
    for one, other in zip(mine.corners, same.corners, strict=True):
        assert (one.corner, one.verdict, one.readings_used) == (
            other.corner,
            other.verdict,
            other.readings_used,
        )
        assert one.at_common_degc.value == pytest.approx(other.at_common_degc.value, rel=1e-6)


EVEN = [(at, wheel, {"1": "75", "2": "68"}[wheel[0]]) for at, wheel, _ in VAN]
COLD = [(at, wheel, {"1L": "75", "1R": "75", "2R": "70"}.get(wheel, "19")) for at, wheel, _ in VAN]


@pytest.mark.parametrize(("walk", "called"), [(VAN, "front left"), (COLD, "rear left"), (EVEN, "")])
def test_a_brake_that_is_called_has_its_next_step_and_cautions_under_the_answers(browser, here, walk, called):
    """Word for word those that a check of the log gives; nothing where nothing is called."""
    with phone(browser, here) as hand:
        hand.walked(walk)
        answers = hand.page.inner_text("#answers")
        assert (f"yes: {called}" in answers) is bool(called)
        assert hand.page.locator("#answers .then").count() == (2 if called else 0)
        (file,) = here.logs()
        last = last_words(told(file))
        said = {"Do next": last.do_next, "Take care": last.caution}
        assert all((f"{head}: {text}" in answers) is bool(called) for head, text in said.items())
        assert "Do not" in said["Take care"] or not called
        assert not hand.page.evaluate("document.documentElement.scrollWidth > innerWidth")


def test_the_time_of_a_reading_is_its_first_key(browser, here):
    """The tile is tapped, twenty seconds later the number is typed, ten later taken: it is of the tap."""
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.wait(40)
        hand.page.tap(".tile[data-w='1R']")
        hand.wait(20)
        hand.type("96")
        assert re.search(r"read 2\d s ago", hand.page.inner_text("#who"))
        hand.wait(10)
        hand.page.tap("[data-key=take]")
        hand.settled()
        assert re.search(r"3\d s", hand.tile("1R"))
        hand.wait(15)
        hand.type("7")  # the wheel proposed: its first digit is the moment
        hand.wait(9)
        hand.type("7")
        hand.page.tap("[data-key=take]")
        hand.settled()
    entries = list(next(iter(here.shelf._open.values())).journal.walk.readings())
    assert [one.elapsed_s for one in entries] == pytest.approx([40, 85], abs=5.0)


def test_an_odd_value_is_asked_about_after_it_was_typed(browser, here):
    """Nothing expected is shown before; read again takes it back; another wheel keeps number and moment."""
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.walk([(20, "1L", "75"), (38, "1R", "72"), (56, "2R", "67"), (75, "2L", "66")])
        before = hand.page.inner_text("body")
        assert "expected" not in before
        hand.wait(20)
        hand.read("2L", "650")
        hand.page.locator("#ask").wait_for()
        assert "rear left: 650 °C? With a digit less it would fit" in hand.page.inner_text("#asked")
        hand.page.tap("[data-answer=again]")
        assert "rear left" in hand.page.inner_text("#who")
        hand.wait(6)
        hand.type("65")
        hand.page.tap("[data-key=take]")
        hand.settled()
        hand.wait(20)
        hand.read("2L", "700")
        hand.page.locator("#ask").wait_for()
        hand.page.tap("[data-answer=wheel]")
        hand.page.tap(".tile[data-w='1L']")
        hand.settled()
    walk = next(iter(here.shelf._open.values())).journal.walk
    standing = [(one.corner, one.cell) for one in walk.readings()]
    assert standing[4:] == [("2L", "65"), ("1L", "700")]


def test_every_target_is_large_and_nothing_scrolls_sideways(browser, here):
    """56 px for keys and wheels; 320 and 390 wide, light and dark, two and five axles, letters of 200 %."""
    for width, axles, scheme in ((320, 5, "dark"), (390, 2, "light"), (390, 5, "light")):
        with phone(browser, here, width=width, color_scheme=scheme) as hand:
            hand.begin(axles=axles)
            hand.park()
            sizes = hand.page.evaluate(
                "[...document.querySelectorAll('.tile, .pad button, #menu, #spot')].map(e => "
                "{const r = e.getBoundingClientRect(); return [r.width, r.height]})"
            )
            assert min(min(size) for size in sizes) >= 56
            for letters in ("100%", "200%"):
                hand.page.evaluate(f"document.documentElement.style.fontSize = '{letters}'")
                assert not hand.page.evaluate("document.documentElement.scrollWidth > innerWidth")
            hand.page.evaluate("localStorage.clear()")


def test_what_stops_the_vehicle_is_said_first(browser, here):
    with phone(browser, here) as hand:
        hand.begin(axles=3, name="<b>x</b>")
        hand.park()
        hand.wait(20)
        hand.read("3R", "OL")
        hand.settled()
        assert "Stop driving: reading above the gun's range at axle 3 right" in hand.page.inner_text("#stop")
        hand.page.evaluate("document.body.scrollTo(0, 10000)")  # it stays in sight
        assert hand.page.evaluate("document.getElementById('stop').getBoundingClientRect().top") >= 0
        assert "<b>x</b>" in hand.page.inner_text("#name")


def test_units_change_what_is_shown_and_never_the_log(browser, here):
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.wait(20)
        hand.read("1L", "100")
        hand.settled()
        hand.page.locator("label:has(#uf)").tap()
        hand.wait(2)
        assert "212°" in hand.tile("1L")  # 100 x 1.8 + 32
        hand.wait(10)
        hand.read("1R", "212")
        hand.settled()
    assert rows(here) == [("1L", "100"), ("1R", "100")]


def test_chart_checks_file_and_print(browser, here, tmp_path):
    """All from the same pipeline; a check is answered; the file that is saved is the log."""
    with phone(browser, here) as hand:
        hand.walked()
        hand.page.tap("#menu")
        hand.page.tap("#chartbox summary")
        hand.page.locator("#chart svg").first.wait_for()
        assert "Front" in hand.page.locator("#chart").text_content()
        hand.page.tap("#checksbox summary")
        hand.page.locator("#checks button").first.wait_for()
        question = hand.page.inner_text("#checks p.t3")
        hand.page.locator("#checks button").first.tap()
        hand.until(lambda: question not in hand.page.inner_text("#checks"))
        with hand.page.expect_download() as saved:
            hand.page.tap("#save")
        saved.value.save_as(tmp_path / "saved.csv")
        assert (tmp_path / "saved.csv").read_bytes() == here.logs()[0].read_bytes()
        hand.page.tap("#seenbox summary")
        hand.page.fill("#note", "wind from the left")
        hand.page.tap("#keepnote")
        hand.page.tap("#back")
        hand.settled()
        hand.page.emulate_media(media="print")
        hand.page.evaluate("dispatchEvent(new Event('beforeprint'))")
        assert "front left drags" in hand.page.inner_text("#paper")
        assert hand.page.locator("#paper svg").count() == 2
    assert "# note: wind from the left" in here.logs()[0].read_text()


def test_on_paper_no_drawing_is_cut_and_every_sheet_of_the_table_has_its_heads(browser, here, tmp_path):
    """On small paper both go over several sheets; the button fetches the drawings that nobody opened."""
    with phone(browser, here) as hand:
        hand.walked()
        hand.page.tap("#menu")
        hand.page.evaluate("window.print = () => { document.title = 'printed'; }")
        hand.page.tap("#print")
        hand.until(lambda: hand.page.locator("#chart svg").count() == 2)
        hand.until(lambda: hand.page.title() == "printed")
        hand.page.pdf(path=tmp_path / "walk.pdf", format="A6", landscape=True)
    sheets = texts_of(tmp_path / "walk.pdf")
    listed = [sheet for sheet in sheets if re.search(r"\d:\d\d\s+(front|rear) (left|right)", sheet)]
    assert len(listed) > 1
    assert all(re.search(r"time\s+what\s+read, °C\s+by", sheet) for sheet in listed)
    begun, ended = (
        [sheet.count(words) for sheet in sheets] for words in ("compared at", "minutes since parked")
    )
    assert sum(begun) == 2
    assert begun == ended


def test_what_is_hatched_on_the_screen_is_hatched_on_paper(browser, here):
    """A drawing on paper holds its own hatching: that of a hidden drawing is not drawn by a browser."""
    with phone(browser, here) as hand:
        hand.walked()
        hand.page.tap("#menu")
        hand.page.tap("#chartbox summary")
        hand.page.locator("#chart svg").first.wait_for()
        hand.page.evaluate("dispatchEvent(new Event('beforeprint'))")
        ids = hand.page.locator("[id]").evaluate_all("all => all.map((one) => one.id)")
        assert len(ids) == len(set(ids))
        assert sum(one.startswith("paper") and one.endswith("-title") for one in ids) == 2


def test_all_that_can_be_seen_or_noticed_is_a_button(browser, here):
    """The words are those a log may state; what is tapped stands in the log and stops the vehicle."""
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.read("1L", "100")
        hand.page.tap("#menu")
        hand.page.tap("#seenbox summary")
        assert hand.page.locator("#seen button").all_inner_texts() == list(SEEN_WORDS.values())
        hand.page.get_by_role("button", name=SEEN_WORDS["pedal"], exact=True).tap()
        hand.settled()
    (file,) = here.logs()
    assert [one.code for one in told(file).urgent] == ["pedal"]


@pytest.mark.parametrize(
    ("tapped", "named", "sight", "line"),
    [
        (None, None, "smoke", "# seen: smoke"),  # rear right is proposed next: nobody saw anything there
        (None, "front left", "smoke", "# seen: smoke at 1L"),
        ("2L", None, "smoke", "# seen: smoke at 2L"),  # the wheel under the gun, shown before it is kept
        ("2L", "not said", "glow", "# seen: glow"),
        ("2L", None, "soft pedal", "# seen: soft pedal"),  # of the vehicle, wherever the gun points
    ],
)
def test_where_something_is_seen_is_said_by_who_sees_it(browser, here, *, tapped, named, sight, line):
    with phone(browser, here) as hand:
        hand.begin()
        hand.park()
        hand.walk(VAN[:2])
        if tapped:
            hand.page.tap(f".tile[data-w='{tapped}']")
        hand.page.tap("#menu")
        hand.page.tap("#seenbox summary")
        if named:
            hand.page.select_option("#where", label=named)
        hand.page.get_by_role("button", name=sight, exact=True).tap()
        hand.settled()
    kept = [row for row in here.logs()[0].read_text().splitlines() if row.startswith("# seen:")]
    assert kept == [line]


# A dead brake in front and one that drags behind, three rounds.
TWO = [
    (30.0 + 15 * k + 230 * n, corner, cell if corner == "1L" else str(int(cell) - 12 * n))
    for n in range(3)
    for k, (corner, cell) in enumerate({"1L": "24", "2L": "68", "2R": "130", "1R": "108"}.items())
]


def test_the_suspect_whose_cause_is_looked_for_is_chosen_by_a_tap(browser, here):
    """Each keeps its own answers; the way back is a tap, too."""
    with phone(browser, here) as hand:
        hand.walked(TWO)
        hand.page.tap("#menu")
        hand.page.tap("#checksbox summary")
        box = hand.page.locator("#checks")
        there = box.get_by_role("button", name="Another job: rear right drags")
        there.wait_for()
        assert box.locator("p.t3").first.inner_text() == "front left does not work"
        first = box.locator("p.t3").nth(1).inner_text()
        box.locator("button.big").first.tap()
        hand.until(lambda: box.locator("p.t3").nth(1).inner_text() != first)
        second = box.locator("p.t3").nth(1).inner_text()
        there.tap()
        back = box.get_by_role("button", name="Another job: front left does not work")
        back.wait_for()
        assert box.locator("p.t3").first.inner_text() == "rear right drags"
        assert box.get_by_role("button", name="One back").count() == 0
        back.tap()
        hand.until(lambda: box.locator("p.t3").first.inner_text() == "front left does not work")
        assert box.locator("p.t3").nth(1).inner_text() == second
        hand.page.screenshot(path="suspects.png", full_page=True)


def test_the_code_of_the_address_lets_in_and_leaves_the_address(browser, tmp_path):
    with shop(tmp_path / "shop", coded=True) as one:
        with phone(browser, one) as hand:
            hand.begin()
            hand.park()
            hand.settled()
            assert hand.page.url == one.address.partition("#")[0]
        with phone(browser, one) as stranger:  # the same code again
            stranger.until(lambda: "Scan the code" in stranger.line())


def test_without_script_the_page_says_what_to_write_down(browser, here):
    with opened(browser, here.address, width=390, java_script_enabled=False) as seen:
        assert "Write the readings down instead" in seen.text()

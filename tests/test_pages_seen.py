"""Pages as a person meets them in a browser: pointer, keys, contrast, paper, phone, and hostile names."""

from __future__ import annotations

import base64
import json
import os
import re
from itertools import pairwise
from pathlib import Path

import pytest
from browser import opened

ROOT = Path(__file__).parent.parent
LOGS = ROOT / "sample_logs"
VAN = LOGS / "van_front_left_hot.csv"
AXE = os.environ.get("THERMLOG_AXE", "")
NAME = "{{7*7}}<script>alert(1)</script>\"'=1+1 \u202egpj<img src=x onerror=alert(2)> "
HOSTILE = (
    f"# vehicle: {NAME}{'x' * 10_000}\n# by: <b>bold</b> @SUM(A1)\n# gun: </style><script>alert(3)</script>\n"
    "# ambient: 18 C\n# drive: normal\nsince_parked_s,position,temp_c,note\n"
    "20,LF,195,<svg onload=alert(4)>\n40,RF,113,=cmd|' /C calc'!A0\n60,RR,62,\n80,LR,71,\n"
    "200,LR,68,\n220,RR,60,\n240,RF,108,\n260,LF,185,\n300,LF,<i>oops</i>,\n"
)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """Report, customer and trainee sheet of a log, each made once."""
    from thermlog.cli import run

    folder, known = tmp_path_factory.mktemp("pages"), {}

    def pages(log: Path) -> dict[str, Path]:
        if log not in known:
            files = {kind: folder / f"{log.stem}-{kind}.html" for kind in ("report", "customer", "trainee")}
            wanted = [part for kind, file in files.items() for part in (f"--{kind}", str(file))]
            assert (
                run(["check", str(log), "-q", "--exit-zero", "-o", str(folder / f"{log.stem}.txt"), *wanted])
                == 0
            )
            known[log] = files
        return known[log]

    return pages


@pytest.fixture(scope="module")
def hostile(tmp_path_factory):
    log = tmp_path_factory.mktemp("logs") / "hostile.csv"
    log.write_text(HOSTILE, encoding="utf-8")
    return log


def contrast(one: str, other: str) -> float:
    """Ratio of WCAG 2.2, section 1.4.3: relative luminances, each plus 0.05."""

    def luminance(colour: str) -> float:
        full = colour if len(colour) == 7 else "#" + "".join(2 * letter for letter in colour[1:])
        parts = [int(full[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_by_the_published_formula_and_of_our_colours():
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)  # WCAG 2.2: ratios range from 1 to 21
    style = (ROOT / "thermlog" / "pages" / "templates" / "base.css").read_text(encoding="utf-8")
    colours = dict(re.findall(r"--([a-z]+): (#[0-9a-f]{3,6})\b", style))
    for ground in ("paper", "panel"):
        for text in ("ink", "soft", "hot", "cold", "watch", "focus"):
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)
        assert contrast(colours["line"], colours[ground]) >= 3.0


@pytest.mark.parametrize("kind", ["report", "customer", "trainee"])
def test_every_sheet_fits_phone_and_paper_and_asks_for_nothing(browser, made, tmp_path, kind):
    place = made(VAN)[kind]
    for width in (320, 390, 1160):
        with opened(browser, place, width=width) as page:
            assert (page.complaints, page.asked_for) == ([], [])
            assert not page.scrolls_sideways()
    with opened(browser, place, width=390) as page:  # printed from a phone, too
        assert {page.sheets(paper, tmp_path / "p.pdf") for paper in ("A4", "Letter")} == {1}
        page.page.locator("#uf").check()
        assert page.sheets("Letter", tmp_path / "p.pdf", print_background=True) == 1


@pytest.mark.parametrize("kind", ["customer", "trainee"])
def test_ten_corners_fit_a_phone_and_one_sheet_of_the_short_pages(browser, made, tmp_path, kind):
    with opened(browser, made(LOGS / "combination_axle4_left_cold.csv")[kind], width=320) as page:
        assert not page.scrolls_sideways()
        assert {page.sheets(paper, tmp_path / "p.pdf") for paper in ("A4", "Letter")} == {1}


def test_ten_corners_take_two_sheets_at_most(browser, made, tmp_path):
    with opened(browser, made(LOGS / "combination_axle4_left_cold.csv")["report"], width=320) as page:
        assert not page.scrolls_sideways()
        assert page.page.locator(".plan .w").count() == 10
        assert page.sheets("Letter", tmp_path / "p.pdf") <= 2


def test_large_letters_and_wide_spacing_scroll_nowhere(browser, made):
    with opened(browser, made(VAN)["report"], width=390) as page:
        page.page.evaluate(
            "document.documentElement.style.fontSize='200%';"
            "for (const one of document.querySelectorAll('p,li,td,th'))"
            " {one.style.letterSpacing='.12em'; one.style.wordSpacing='.16em'; one.style.lineHeight='1.5'}"
        )
        assert not page.scrolls_sideways()


def test_the_pointer_and_the_keys_read_every_marker_off(browser, made):
    lines = [line.split(",") for line in VAN.read_text().splitlines() if line[:1].isdigit()]
    with opened(browser, made(VAN)["report"]) as page:
        told = page.page.locator("#readout")
        mark = page.page.locator('.c svg g[id$="-read-1L-brake"] use').first
        mark.scroll_into_view_if_needed()
        box = mark.bounding_box()
        page.page.mouse.move(box["x"] + box["width"] / 2 + 2, box["y"] + box["height"] / 2)
        first = next(float(row[2]) for row in lines if row[1] == "LF")
        assert f"front left: {first:.0f} °C" in told.inner_text()
        page.page.mouse.move(5, 5)
        assert told.is_hidden()
        page.page.locator(".pic.reads").first.focus()
        page.page.keyboard.press("ArrowRight")
        assert told.is_visible()
        page.page.keyboard.press("Escape")
        assert told.is_hidden()


def test_keys_reach_everything_and_the_focus_shows(browser, made):
    with opened(browser, made(VAN)["report"]) as page:
        seen = []
        for _ in range(40):
            page.page.keyboard.press("Tab")
            found = page.page.evaluate(
                "(() => {const one = document.activeElement; const box = one.closest('label') || one;"
                "const line = (of) => getComputedStyle(of).outlineStyle;"
                "return [one.tagName, one.id, line(box), line(one)]})()"
            )
            if found[0] == "BODY":
                break
            seen.append(found)
        assert seen[0][0] == "A"  # the way past the head
        assert {"A", "INPUT", "SUMMARY"} <= {one[0] for one in seen}
        assert all("none" not in (one[2] if one[1] in ("uc", "uf") else one[3]) for one in seen)


def test_left_stays_left_whatever_the_direction_of_the_page(browser, made):
    with opened(browser, made(VAN)["report"]) as page:
        for direction in ("ltr", "rtl"):
            page.page.evaluate(f"document.documentElement.dir = '{direction}'")
            left, right = (page.page.locator(f".plan .w.{side}").first.bounding_box() for side in "lr")
            assert left["x"] < right["x"]
            heads = page.page.locator(".lr th.num")
            assert heads.nth(0).bounding_box()["x"] < heads.nth(1).bounding_box()["x"]


@pytest.mark.parametrize("width", [320, 380, 470])
@pytest.mark.parametrize("unit", ["c", "f"])
@pytest.mark.parametrize("name", ["van_front_left_hot", "combination_axle4_left_cold"])
def test_no_cell_of_left_against_right_covers_another_on_a_phone(browser, made, name, unit, width):
    """The second log has a ratio with its range written out, "9 (6 to 15)"."""
    log = LOGS / f"{name}.csv"
    with opened(browser, made(log)["report"], width=width) as page:
        page.page.locator("label", has_text=f"°{unit.upper()}").first.click()
        rows = [
            [cell.bounding_box() for cell in row.locator("th:visible, td:visible").all()]
            for row in page.page.locator(".lr tbody tr").all()
        ]
        frame = page.page.locator(".lr").locator("..").bounding_box()
        said = [re.sub(r"\s+", " ", row.inner_text()) for row in page.page.locator(".lr tbody tr").all()]
        inside = page.page.evaluate(
            "[...document.querySelectorAll('.lr td, .lr th')].every(e => e.scrollWidth <= e.clientWidth + 1)"
        )
    assert inside
    assert all("ratio " in row for row in said)
    assert name.startswith("van") or any("ratio 9 (6 to 15)" in row for row in said)
    for row in rows:
        for cell, after in pairwise(row):
            assert cell["x"] + cell["width"] <= after["x"] + 0.5
        assert row[-1]["x"] + row[-1]["width"] <= frame["x"] + frame["width"] + 0.5


@pytest.mark.parametrize("kind", ["report", "customer", "trainee"])
def test_axe_finds_nothing_serious(browser, made, kind):
    if not Path(AXE).is_file():
        pytest.skip("axe-core is not here; npm install axe-core, and THERMLOG_AXE=.../axe-core/axe.min.js")
    with opened(browser, made(VAN)[kind], bypass_csp=True) as page:
        page.page.evaluate(Path(AXE).read_text(encoding="utf-8"))
        found = page.page.evaluate("axe.run().then((told) => told.violations)")
        grave = [
            (one["id"], one["nodes"][0]["html"][:120])
            for one in found
            if one["impact"] in ("serious", "critical")
        ]
        assert grave == []


@pytest.mark.parametrize("kind", ["report", "customer", "trainee"])
def test_hostile_text_shows_as_text(browser, made, hostile, kind):
    place = made(hostile)[kind]
    with opened(browser, place, width=320) as page:
        page.page.on("dialog", lambda _: pytest.fail("a name ran as script"))
        assert (page.complaints, page.asked_for) == ([], [])
        assert page.page.locator("script").count() == 1
        assert page.page.locator("img, iframe, object, b >> text=bold").count() == 0
        assert "<script>alert(1)</script>" in page.text("header")
        assert "\u202e" not in page.text()
        assert "{{7*7}}" in page.text("header")
        assert not page.scrolls_sideways()


def test_hostile_rows_are_told_with_their_lines_and_never_saved_as_formulas(browser, made, hostile):
    with opened(browser, made(hostile)["report"]) as page:
        aside = page.text(".aside")
        assert "line 15" in aside
        assert "<i>oops</i>" in aside
        link = page.page.locator("a.save").get_attribute("href")
    saved = base64.b64decode(link.partition("base64,")[2]).decode()
    assert not any(cell[:1] in "=@+-\t" for line in saved.splitlines() for cell in line.split(",") if cell)


def test_the_saved_readings_are_a_log_that_gives_the_same_finding(browser, made, thermlog, tmp_path):
    for name in ("van_front_left_hot", "trailer_hub_hot", "saloon_fahrenheit", "electric_hatchback_cool"):
        log = LOGS / f"{name}.csv"
        with opened(browser, made(log)["report"]) as page:
            page.page.locator("summary").click()
            with page.page.expect_download() as download:
                page.page.locator("a.save").click()
            download.value.save_as(tmp_path / "saved.csv")
        before, after = (
            json.loads(thermlog("check", str(one), "--format", "json").out)
            for one in (log, tmp_path / "saved.csv")
        )
        assert after["vehicle"] == before["vehicle"]
        for key in ("answers", "corners", "axles", "urgent"):
            assert after[key] == before[key], (name, key)


def both(value: float, unit: str, *, step: bool = False) -> float:
    return value if unit == "C" else value * 9 / 5 + (0 if step else 32)


def tiles_agree(page, told, unit):
    for one in told["corners"]:
        tile = page.locator(f".plan .w.{one['side'].lower()}").nth(one["axle"] - 1).inner_text()
        assert {"L": "left", "R": "right"}[one["side"]] in tile.splitlines()[0]
        assert f"{both(one['at_common_degc'], unit):.0f} °{unit}" in tile
        if one["expected_degc"] and one["spot"] != "hub":
            low, high = (both(end, unit) for end in one["expected_degc"])
            assert f"expected {low:.0f} to {high:.0f} °{unit}" in tile


def rows_agree(page, told, unit):
    brakes = {one["corner"]: one["at_common_degc"] for one in told["corners"] if one["spot"] != "hub"}
    for row, axle in zip(page.locator(".lr tbody tr").all(), told["axles"], strict=True):
        left, right, gap, ratio, finding = row.locator("td").all_inner_texts()
        for cell, side in ((left, "L"), (right, "R")):
            read = both(brakes[f"{axle['axle']}{side}"], unit)
            assert float(cell.split()[0]) == pytest.approx(read, abs=0.51)  # whole degrees are printed
        assert float(gap.split()[0]) == pytest.approx(both(axle["difference_k"], unit, step=True), abs=0.51)
        low, high = axle["difference_interval_k"]
        if "±" in gap:
            half = both((high - low) / 2, unit, step=True)
            assert float(gap.split()[-1]) == pytest.approx(half, abs=0.51)
        digits = len(ratio.split()[0].partition(".")[2])
        assert float(ratio.split()[0]) == pytest.approx(axle["rise_ratio"], abs=0.51 / 10**digits)
        assert axle["verdict"].replace("_", " ") in finding.lower()


def chance_of(answer):
    """A probability as the page prints it; a call of less than even chance in tenths."""
    p = answer["p"]
    if p is None:
        return ""
    if answer["answer"] == "yes" and p < 0.5:
        return f"{10 * p:.0f} in 10"
    return "< 1 %" if p < 0.01 else "> 99 %" if p > 0.99 else f"{100 * p:.0f} %"


def boxes_agree(page, told):
    for box, answer in zip(page.locator(".a").all(), told["answers"].values(), strict=True):
        text = box.inner_text()
        assert answer["answer"].replace("_", " ") in text
        assert chance_of(answer) in text


def limits_agree(page, told, unit):
    drags = told["answers"]["drag"]["detectable"]
    for row, one in zip(page.locator("table.limits tbody tr").all(), drags, strict=False):
        cells = row.locator("td").all_inner_texts()
        assert float(cells[0]) == pytest.approx(both(one["rise_k"], unit, step=True), abs=0.51)
        assert float(cells[1].split()[0]) == pytest.approx(one["torque_nm"], abs=0.51)


@pytest.mark.parametrize("unit", ["C", "F"])
@pytest.mark.parametrize(
    "name", ["van_front_left_hot", "trailer_hub_hot", "combination_axle4_left_cold", "saloon_diagonal_hot"]
)
def test_every_number_is_that_of_the_json(browser, made, thermlog, name, unit):
    told = json.loads(thermlog("check", str(LOGS / f"{name}.csv"), "--format", "json").out)
    with opened(browser, made(LOGS / f"{name}.csv")["report"], java_script_enabled=False) as page:
        page.page.locator(f"#u{unit.lower()}").check()
        tiles_agree(page.page, told, unit)
        rows_agree(page.page, told, unit)
        boxes_agree(page.page, told)
        limits_agree(page.page, told, unit)


def test_the_customer_reads_no_percentage_no_torque_and_no_cause(browser, made):
    for log in sorted(LOGS.glob("*.csv"))[::3]:
        with opened(browser, made(log)["customer"]) as page:
            text = page.text()
            assert "%" not in text
            assert "N·m" not in text
            assert not re.search(r"caliper|piston|hose|bearing fail|slide pin|probab", text)


def test_without_script_the_page_is_whole(browser, made):
    with opened(browser, made(VAN)["report"], java_script_enabled=False) as page:
        for part in ("#verdict", ".ans", "#do", ".plan", ".cool svg", ".causes", ".good", "footer"):
            assert page.page.locator(part).first.is_visible(), part
        page.page.locator("summary").click()
        assert page.page.locator("a.save").is_visible()

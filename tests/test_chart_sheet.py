"""The sheet of a chart: texts that keep clear, files that come out the same, names however strange."""

from __future__ import annotations

import subprocess
import sys
from io import BytesIO
from itertools import chain
from pathlib import Path
from xml.etree import ElementTree as ET

import matplotlib as mpl
import numpy as np
import pytest
from chart_samples import (
    CANNOT_TELL,
    CLIMBING,
    HUBS,
    LONG_NAME,
    MISSES,
    ONE_ROUND,
    TRUCK,
    URGENT,
    VAN_EVEN,
    VAN_HOT,
    WATCH,
    Story,
    diagnosis_of,
)
from figurewords import assert_texts_keep_clear, words_of
from matplotlib.figure import Figure
from msgspec.structs import replace

from thermlog.charts.chart import figure_of
from thermlog.charts.lettering import plain
from thermlog.charts.look import Look, Width
from thermlog.charts.panelwords import words_of as chart_words
from thermlog.charts.saving import save_figure
from thermlog.reports.chartwords import axles_shown
from thermlog.reports.summary import headline
from thermlog.reports.vehiclewords import corner_rows
from thermlog.words.errors import OutputError
from thermlog.words.findings import Diagnosis
from thermlog.words.sentences import Page, on_page

STORIES = {
    "hot": VAN_HOT,
    "even": VAN_EVEN,
    "five axles": TRUCK,
    "hubs": HUBS,
    "one round": ONE_ROUND,
    "misses": MISSES,
    "cannot tell": CANNOT_TELL,
    "long name": LONG_NAME,
    "watch": WATCH,
    "climbing": CLIMBING,
    "urgent": URGENT,
}


@pytest.fixture(params=list(STORIES), scope="module")
def story(request: pytest.FixtureRequest) -> Story:
    return STORIES[request.param]


def test_texts_keep_clear_of_each_other_and_of_the_edge(story: Story) -> None:
    assert_texts_keep_clear(figure_of(diagnosis_of(story)))


@pytest.mark.parametrize("width", ["wide", "narrow"])
def test_nothing_that_is_said_is_cut(story: Story, width: Width) -> None:
    """Title, answers, heads, reasons, foot and every row of the whole vehicle: wrapped, never shortened."""
    found, look = diagnosis_of(story), Look(width=width)
    page = on_page(found, Page(unit="C", axle_count=found.axle_count))
    words = chart_words(page, axles_shown(page), look)
    said = [words.title, words.warning, *words.below, words.foot, *words.heads, *chain(*words.reasons)]
    said += [f"{row.name}: {row.text}" for row in corner_rows(page, "C", told=True)]
    drawn = " ".join(" ".join(words_of(figure_of(found, look))).split())
    assert [line for line in said if " ".join(plain(line).split()) not in drawn] == []


def test_axis_names_keep_on_the_sheet(story: Story) -> None:
    figure = figure_of(diagnosis_of(story))
    renderer = figure.canvas.get_renderer()
    for axes in figure.axes:
        for name in (axes.xaxis.label, axes.yaxis.label):
            if name.get_text():
                axes.get_tightbbox(renderer)
                box = name.get_window_extent(renderer)
                assert box.x0 >= 0, name.get_text()
                assert box.y0 >= 0, name.get_text()


@pytest.mark.parametrize("suffix", ["png", "svg", "pdf"])
def test_the_same_diagnosis_gives_the_same_bytes(tmp_path: Path, suffix: str) -> None:
    files = [tmp_path / f"{name}.{suffix}" for name in "ab"]
    for file in files:
        save_figure(figure_of(diagnosis_of(VAN_HOT)), file)
    first, second = (file.read_bytes() for file in files)
    assert first == second
    assert len(first) > 5_000


@pytest.mark.parametrize("suffix", ["png", "svg", "pdf"])
def test_settings_of_the_user_change_no_byte(tmp_path: Path, suffix: str) -> None:
    usual, odd = (tmp_path / f"{name}.{suffix}" for name in ("usual", "odd"))
    save_figure(figure_of(diagnosis_of(VAN_HOT)), usual)
    mine = {"font.size": 23, "axes.facecolor": "pink", "hatch.linewidth": 4, "svg.fonttype": "path"}
    with mpl.rc_context(mine):
        save_figure(figure_of(diagnosis_of(VAN_HOT)), odd)
    assert usual.read_bytes() == odd.read_bytes()


def test_svg_tells_what_it_shows(tmp_path: Path) -> None:
    file = tmp_path / "chart.svg"
    save_figure(figure_of(diagnosis_of(VAN_HOT)), file)
    root = ET.fromstring(file.read_bytes())  # noqa: S314 (written right above)
    space = {"svg": "http://www.w3.org/2000/svg"}
    assert root.get("role") == "img"
    assert root.findtext("svg:title", namespaces=space) == headline(diagnosis_of(VAN_HOT))
    described = root.findtext("svg:desc", namespaces=space) or ""
    assert "Rear: = even, left 2 ± 4 °C above right." in described


def test_png_is_readable_and_carries_the_description(tmp_path: Path) -> None:
    from PIL import Image

    file = tmp_path / "chart.png"
    save_figure(figure_of(diagnosis_of(VAN_HOT)), file)
    with Image.open(BytesIO(file.read_bytes())) as picture:
        assert picture.info["Title"] == headline(diagnosis_of(VAN_HOT))
        assert picture.size[0] > 1000


@pytest.mark.parametrize("name", ["chart.bmp", "chart", "nowhere/chart.png"])
def test_impossible_targets_are_refused_and_nothing_is_left(tmp_path: Path, name: str) -> None:
    with pytest.raises(OutputError, match=r"ending|folder"):
        save_figure(Figure(), tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_an_existing_file_is_replaced_only_by_force(tmp_path: Path) -> None:
    file = tmp_path / "chart.svg"
    file.write_text("mine")
    with pytest.raises(OutputError, match="--force"):
        save_figure(Figure(), file)
    assert file.read_text() == "mine"
    save_figure(Figure(), file, force=True)
    assert "<svg" in file.read_text()
    assert [path.name for path in tmp_path.iterdir()] == ["chart.svg"]


@pytest.mark.parametrize("nasty", ["a$b_{c$", "\x1b[31mred\n", "車両 12 🚚", r"\frac{1}{0}$$"])
def test_strange_names_are_drawn_without_warning(nasty: str) -> None:
    diagnosis = diagnosis_of(VAN_HOT)
    strange = replace(diagnosis, vehicle=nasty, log=replace(diagnosis.log, file=f"{nasty}.csv"))
    figure = figure_of(strange)
    figure.canvas.draw()  # warnings are errors here
    assert all(c.isprintable() or c == "\n" for text in words_of(figure) for c in text)


def test_pyplot_is_never_imported() -> None:
    code = (
        "import sys; sys.path.insert(0, 'tests'); from chart_samples import VAN_HOT, diagnosis_of; "
        "from thermlog.charts.chart import figure_of; figure_of(diagnosis_of(VAN_HOT)); "
        "import thermlog.charts.overlay; "
        "sys.exit('matplotlib.pyplot' in sys.modules)"
    )
    root = Path(__file__).parent.parent
    assert subprocess.run([sys.executable, "-c", code], cwd=root, check=False).returncode == 0


def test_curves_are_only_read(story: Story) -> None:
    diagnosis: Diagnosis = diagnosis_of(story)
    before = [curve.indicated_degc.copy() for curve in diagnosis.curves]
    figure_of(diagnosis)
    for curve, old in zip(diagnosis.curves, before, strict=True):
        np.testing.assert_array_equal(curve.indicated_degc, old)


SAMPLE_LOGS = sorted((Path(__file__).parent.parent / "sample_logs").glob("*.csv"))


@pytest.mark.parametrize("log", SAMPLE_LOGS, ids=lambda log: log.stem)
def test_charts_of_the_sample_logs_say_what_the_summary_says_and_keep_clear(log: Path) -> None:
    from judgecases import tell

    from thermlog.judging.diagnose import judge
    from thermlog.judging.settings import Settings
    from thermlog.reading.read import read_log

    found = tell(judge(read_log(str(log)).readings, Settings()), 0, curves=True)
    figure = figure_of(found)
    said = [text.replace("\n", " ") for text in words_of(figure)]
    assert said[0] == headline(found)
    verdicts = {corner.verdict for corner in found.corners}
    for verdict, word in (("hot", "HOT"), ("cold", "COLD"), ("watch", "! watch")):
        assert any(word in text for text in said[2:]) == (verdict in verdicts), word
    assert_texts_keep_clear(figure)


def test_the_picture_in_the_readme_is_a_chart_of_today() -> None:
    from judgecases import tell
    from PIL import Image

    from thermlog.judging.diagnose import judge
    from thermlog.judging.settings import Settings
    from thermlog.reading.read import read_log

    root = Path(__file__).parent.parent
    read = read_log(str(root / "sample_logs" / "van_front_left_hot.csv"))
    today = figure_of(tell(judge(read.readings, Settings()), 0, curves=True))
    picture = root / "docs" / "img" / "van_front_left_hot.png"
    with Image.open(picture) as drawn:
        said = drawn.info["Description"]
    cure = f"draw it again: thermlog check sample_logs/van_front_left_hot.csv --chart {picture.name} --force"
    assert said == today.get_label(), cure
    assert picture.stat().st_size < 250_000  # hatching does not shrink

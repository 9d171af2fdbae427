"""The chart of a diagnosis: what it shows, what it says, and that it is the same twice."""

from __future__ import annotations

import re
from typing import get_args

import numpy as np
import pytest
from chart_samples import (
    AMBIENT_DEGC,
    CANNOT_TELL,
    CLIMBING,
    COMMON_S,
    HUBS,
    MISSES,
    ONE_ROUND,
    TRUCK,
    URGENT,
    VAN_EVEN,
    VAN_HOT,
    WATCH,
    Story,
    diagnosis_of,
    without,
)
from figurewords import line_of, lines_of, words_of
from matplotlib.colors import to_rgb
from msgspec.structs import replace

from thermlog.charts.chart import figure_of
from thermlog.charts.drawing import STATE_COLOURS, side_style
from thermlog.charts.lettering import INK, LINE, SOFT_INK
from thermlog.charts.look import Look
from thermlog.charts.normal import HATCH_GREY
from thermlog.reports.summary import answer_lines, headline
from thermlog.reports.wording import Show
from thermlog.words.findings import Answer, PatternFinding, PatternKind
from thermlog.words.reasons import Reason
from thermlog.words.vehicle import default_vehicle


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, glossary."""
    parts = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(colour)]
    return float(np.dot(parts, [0.2126, 0.7152, 0.0722]))


def test_readings_and_curves_are_drawn_where_they_are() -> None:
    diagnosis = diagnosis_of(VAN_HOT)
    figure = figure_of(diagnosis)
    for panel, corner in enumerate(["1L", "2R"]):
        curve = next(c for c in diagnosis.curves if c.corner == corner)
        dots, line = (line_of(figure, panel, f"{corner} brake {what}") for what in ("readings", "curve"))
        np.testing.assert_allclose(dots.get_xdata(), curve.elapsed_s / 60.0)
        np.testing.assert_allclose(dots.get_ydata(), curve.indicated_degc)
        np.testing.assert_allclose(line.get_xdata(), curve.grid_s / 60.0)
        np.testing.assert_allclose(line.get_ydata(), curve.mean_degc)


def test_fahrenheit_moves_readings_by_32_and_differences_not() -> None:
    diagnosis = diagnosis_of(VAN_HOT)
    figure = figure_of(diagnosis, Look(show="F"))
    curve = diagnosis.curves[0]
    dots = line_of(figure, 0, "1L brake readings")
    np.testing.assert_allclose(dots.get_ydata(), curve.indicated_degc * 1.8 + 32.0)
    residual = next(
        line for line in figure.axes[1].get_lines() if "1L brake residuals" in str(line.get_label())
    )
    np.testing.assert_allclose(residual.get_ydata(), curve.residual_k * 1.8)
    # 68 K between 150 K and 82 K of rise, times 9/5
    assert "Front: + HOT left, 122 ± 8 °F above right" in words_of(figure)
    assert figure.axes[0].get_ylabel() == "as shown by the gun [°F]"


STORIES = (VAN_HOT, VAN_EVEN, TRUCK, HUBS, ONE_ROUND, MISSES, CANNOT_TELL, WATCH, CLIMBING, URGENT)


@pytest.mark.parametrize("show", ["C", "F"])
@pytest.mark.parametrize("story", STORIES)
def test_the_title_is_the_headline_of_the_text(story: Story, show: Show) -> None:
    diagnosis = diagnosis_of(story)
    figure = figure_of(diagnosis, Look(show=show))
    said = headline(diagnosis, show=show)
    assert words_of(figure)[0].replace("\n", " ") == said
    assert str(figure.get_label()).split("\n")[0] == said


@pytest.mark.parametrize("story", STORIES)
def test_the_three_answers_stand_below_the_title_and_in_the_description(story: Story) -> None:
    diagnosis = diagnosis_of(story)
    figure = figure_of(diagnosis)
    for line in answer_lines(diagnosis):
        assert line in words_of(figure)[1]
        assert line in str(figure.get_label())


@pytest.mark.parametrize("kind", list(get_args(PatternKind)))
@pytest.mark.parametrize("p", [0.0, 1.0])
def test_neither_pattern_nor_probability_changes_a_word(kind: PatternKind, p: float) -> None:
    diagnosis = diagnosis_of(WATCH)
    other = replace(
        diagnosis,
        pattern=PatternFinding(kind=kind, corners=("1L", "2R"), p=p),
        p_fault=p,
        corners=tuple(replace(corner, p_hot=p, p_cold=p) for corner in diagnosis.corners),
    )
    shares = re.compile(r"weighed: .*? unlike [<> \d]+ %")
    said, usual = (
        [shares.sub("", text.replace("\n", " ")) for text in words_of(figure_of(one))]
        for one in (other, diagnosis)
    )
    assert said == usual


@pytest.mark.parametrize("story", STORIES)
def test_hot_and_cold_are_written_for_called_corners_only(story: Story) -> None:
    diagnosis = diagnosis_of(story)
    verdicts = {corner.verdict for corner in diagnosis.corners}
    figure = figure_of(diagnosis)
    text = " ".join([*words_of(figure), str(figure.get_label())])
    assert ("HOT" in text) == ("hot" in verdicts)
    assert ("COLD" in text) == ("cold" in verdicts)


def test_a_watch_says_watch_on_head_and_line_and_names_what_is_open() -> None:
    said = words_of(figure_of(diagnosis_of(WATCH)))
    # 118 - 82 = 36; half-width 3 * sqrt 2 = 4.2
    assert "Front: ! watch left, 36 ± 4 °C above right" in said
    assert "left: ! watch" in said
    assert any(text.startswith("left is 36 °C above right: it is open") for text in said)
    shares = "weighed: left drags 46 %, right idle 20 %, healthy, sides or skins unlike 34 %"
    assert any(shares in text.replace("\n", " ") for text in said)
    gap = line_of(figure_of(diagnosis_of(WATCH)), 0, "gap")
    np.testing.assert_allclose(sorted(gap.get_ydata()), [100.0, 136.0])  # ambient 18


def test_what_is_urgent_stands_in_title_head_and_label() -> None:
    diagnosis = diagnosis_of(URGENT)
    figure = figure_of(diagnosis)
    said = [text.replace("\n", " ") for text in words_of(figure)]
    assert said[0].startswith("!! STOP DRIVING: smoke seen at rear right, brake front left 412 °C")
    assert "Keep clear." in said
    assert any(text.startswith("Front: !! STOP, brake left 412 °C; = even") for text in said)
    assert any(text.startswith("Rear: !! STOP, smoke seen at right; = even") for text in said)
    assert "left: !! STOP" in said
    assert all(axes.spines["left"].get_linewidth() > 2.0 for axes in figure.axes[:4:2])
    assert "Keep clear." not in words_of(figure_of(diagnosis_of(VAN_HOT)))


def test_a_climbing_corner_keeps_its_points_and_the_key_says_why_there_is_no_curve() -> None:
    figure = figure_of(diagnosis_of(CLIMBING))
    said = [text.replace("\n", " ") for text in words_of(figure)]
    assert not lines_of(figure, 1, "2L brake curve")
    assert len(line_of(figure, 1, "2L brake readings").get_xdata()) == 4
    assert not lines_of(figure, 1, "left out")
    assert "left: ? cannot tell, no curve" in said
    assert any("its heat had not come out yet (no curve)" in text for text in said)
    low, high = figure.axes[2].get_ylim()
    assert low < 18.0
    assert high > line_of(figure, 1, "2L brake readings").get_ydata().max()


def test_an_axle_that_was_not_read_has_a_panel_that_says_so() -> None:
    diagnosis = diagnosis_of(replace(VAN_EVEN, rises_k={"1L": 84.0, "1R": 82.0}))
    unread = Reason(code="not_read", corners=("2L", "2R"))
    drag = Answer(answer="cannot_tell", corners=("2L", "2R"), reasons=(unread,))
    answers = replace(diagnosis.answers, drag=drag)
    figure = figure_of(replace(diagnosis, answers=answers, description=default_vehicle(2)))
    said = words_of(figure)
    assert "Rear: ? cannot tell" in said
    assert any(text.startswith("left and right: not read") for text in said)


def test_sides_differ_in_everything_grey_print_keeps() -> None:
    figure = figure_of(diagnosis_of(VAN_HOT))
    left, right = (line_of(figure, 0, f"1{side} brake readings") for side in "LR")
    assert left.get_marker() == "o"
    assert right.get_marker() == "^"
    assert left.get_markerfacecolor() != "white"
    assert right.get_markerfacecolor() == "white"
    left, right = (line_of(figure, 0, f"1{side} brake curve") for side in "LR")
    assert left.get_linestyle() == "-"
    assert right.get_linestyle() == "--"


def test_grey_print_keeps_lines_darker_than_their_bands() -> None:
    figure = figure_of(diagnosis_of(VAN_HOT))
    figure.canvas.draw()
    grey = np.asarray(figure.canvas.buffer_rgba())[..., :3] @ [0.299, 0.587, 0.114]
    axes = figure.axes[0]
    curve = line_of(figure, 0, "1L brake curve")
    middle = curve.get_xydata()[30]
    column, row = axes.transData.transform(middle).round().astype(int)
    tall = grey[grey.shape[0] - row - 8 : grey.shape[0] - row + 8, column]
    assert tall.min() < 120.0  # the line
    assert np.sort(tall)[-3] > 200.0  # its band beside it


def test_lines_reach_the_contrast_of_graphics() -> None:
    # 3:1, WCAG 2.2, 1.4.11; white has luminance 1
    for colour in (LINE, HATCH_GREY):
        assert 1.05 / (luminance(colour) + 0.05) >= 3.0


@pytest.mark.parametrize("colour", [INK, SOFT_INK, *STATE_COLOURS.values()])
def test_letters_reach_the_contrast_of_text(colour: str) -> None:
    # 4.5:1, WCAG 2.2, 1.4.3
    assert 1.05 / (luminance(colour) + 0.05) >= 4.5


def test_a_side_is_never_told_by_colour() -> None:
    """Even sides have one colour; a state's colour is that of its word, whichever side it is."""
    even = figure_of(diagnosis_of(VAN_EVEN))
    assert {line_of(even, 0, f"1{side} brake curve").get_color() for side in "LR"} == {INK}
    for corner, odd in (("1L", VAN_HOT), ("1R", replace(VAN_HOT, odd=("1R",)))):
        figure = figure_of(diagnosis_of(odd))
        assert line_of(figure, 0, f"{corner} brake curve").get_color() == STATE_COLOURS["hot"]


def test_every_fitted_corner_has_a_band_that_holds_its_curve() -> None:
    figure = figure_of(diagnosis_of(TRUCK))
    for panel in range(5):
        bands = [one for one in figure.axes[2 * panel].collections if "band" in one.get_label()]
        assert [band.get_label() for band in bands] == [f"{panel + 1}{side} brake band" for side in "LR"]
        for band, side in zip(bands, "LR", strict=True):
            middle = line_of(figure, panel, f"{panel + 1}{side} brake curve").get_xydata()[30]
            assert band.get_paths()[0].contains_point(middle)


def test_panels_share_their_axes_and_have_strips() -> None:
    figure = figure_of(diagnosis_of(TRUCK))
    mains, strips = figure.axes[:10:2], figure.axes[1:10:2]
    assert len(mains) == len(strips) == 5
    assert len({axes.get_xlim() for axes in figure.axes[:10]}) == 1
    assert len({axes.get_ylim() for axes in mains}) == 1
    assert len({axes.get_ylim() for axes in strips}) == 1
    for main, strip in zip(mains, strips, strict=True):
        assert strip.get_position().y1 < main.get_position().y0
        assert strip.get_position().x0 == main.get_position().x0


def test_strip_shows_the_residuals() -> None:
    diagnosis = diagnosis_of(VAN_HOT)
    strip = figure_of(diagnosis).axes[1]
    drawn = {str(line.get_label()): line.get_ydata() for line in strip.get_lines()}
    np.testing.assert_allclose(drawn["1L brake residuals"], diagnosis.curves[0].residual_k)


def test_common_time_and_ambient_are_marked_and_named() -> None:
    figure = figure_of(diagnosis_of(VAN_HOT))
    for axes in figure.axes[:4]:
        (common,) = [line for line in axes.get_lines() if line.get_label() == "common time"]
        assert set(common.get_xdata()) == {COMMON_S / 60.0}
    assert set(line_of(figure, 0, "ambient").get_ydata()) == {AMBIENT_DEGC}
    assert words_of(figure).count("compared at 2:00 min") == 2
    assert words_of(figure).count("ambient 18 °C") == 2


def test_bar_spans_the_gap_of_the_odd_axle_only() -> None:
    figure = figure_of(diagnosis_of(VAN_HOT))
    # ambient 18 plus rises 150 and 82
    np.testing.assert_allclose(line_of(figure, 0, "gap").get_ydata(), [168.0, 100.0])
    assert not lines_of(figure, 1, "gap")


def test_no_bar_where_both_sides_are_told_alike() -> None:
    both = diagnosis_of(replace(VAN_HOT, kind="axle_hot", odd=("1L", "1R")))
    assert not lines_of(figure_of(both), 0, "gap")


def test_readings_left_out_are_crossed_and_explained() -> None:
    diagnosis = diagnosis_of(MISSES)
    figure = figure_of(diagnosis)
    curve = next(c for c in diagnosis.curves if c.corner == "1R")
    cross = line_of(figure, 0, "1R brake left out")
    assert cross.get_marker() == "x"
    np.testing.assert_allclose(cross.get_xydata(), [[curve.elapsed_s[1] / 60.0, curve.indicated_degc[1]]])
    assert len(line_of(figure, 0, "1R brake readings").get_xdata()) == 3
    assert "far from the curve: aim missed" in words_of(figure)


def test_a_reading_off_the_scale_stands_at_the_edge_with_its_value() -> None:
    diagnosis = diagnosis_of(MISSES)
    curves = tuple(
        replace(c, indicated_degc=np.where([bool(r) for r in c.left_out], 612.0, c.indicated_degc))
        for c in diagnosis.curves
    )
    figure = figure_of(replace(diagnosis, curves=curves))
    top = figure.axes[0].get_ylim()[1]
    assert top < 150.0
    assert line_of(figure, 0, "1R brake left out").get_ydata()[0] == top
    assert any("612, off the scale: far" in text.replace("\n", " ") for text in words_of(figure))


def test_no_fit_is_said_with_its_reason_and_points_stay() -> None:
    figure = figure_of(diagnosis_of(MISSES))
    assert any("right, no curve: too few readings" in text for text in words_of(figure))
    assert not lines_of(figure, 1, "2R brake curve")
    assert len(line_of(figure, 1, "2R brake readings").get_xdata()) == 3
    assert "right: ? cannot tell, no curve" in [text.replace("\n", " ") for text in words_of(figure)]


def test_without_any_curve_the_strip_says_so() -> None:
    figure = figure_of(diagnosis_of(CANNOT_TELL))
    assert [text.get_text() for text in figure.axes[1].texts] == ["no curve on this axle"]
    assert len(lines_of(figure, 0, "readings")) == 2


def test_one_side_alone_is_drawn() -> None:
    figure = figure_of(without(diagnosis_of(VAN_EVEN), "1R"))
    assert "Front: ? cannot tell" in words_of(figure)
    assert len(lines_of(figure, 0, "curve")) == 1


def test_a_diagnosis_without_curves_is_an_empty_chart_with_words() -> None:
    bare = replace(diagnosis_of(CANNOT_TELL), curves=(), corners=(), axles=())
    figure = figure_of(bare)
    assert len(figure.axes) == 3  # one empty panel with its strip, and the vehicle
    assert words_of(figure)[0].startswith("? whether a brake drags or does not work cannot be told")


def test_hubs_are_thinner_and_labelled() -> None:
    figure = figure_of(diagnosis_of(HUBS))
    hub, brake = (line_of(figure, 0, f"1L {spot} curve") for spot in ("hub", "brake"))
    assert hub.get_linewidth() < brake.get_linewidth()
    assert "left hub" in words_of(figure)
    assert "right hub: + HOT" in [text.replace("\n", " ") for text in words_of(figure)]


def test_readings_left_out_for_one_reason_share_its_text() -> None:
    diagnosis = diagnosis_of(MISSES)
    said = [text.replace("\n", " ") for text in words_of(figure_of(diagnosis))]
    # the rear has one on either side
    assert said.count("far from the curve: aim missed (2 readings)") == 1
    assert said.count("far from the curve: aim missed") == 1


def test_many_readings_get_smaller_markers() -> None:
    few, many = (figure_of(diagnosis_of(replace(VAN_HOT, rounds=count))) for count in (4, 40))
    sizes = [line_of(figure, 0, "1L brake readings").get_markersize() for figure in (few, many)]
    assert sizes[1] < sizes[0]


def test_both_sides_of_an_axle_are_named_together() -> None:
    diagnosis = diagnosis_of(replace(VAN_HOT, kind="axle_cold", odd=("2L", "2R")))
    said = [text.replace("\n", " ") for text in words_of(figure_of(diagnosis))]
    assert "Rear: - COLD left and right, left 2 ± 4 °C above right" in said


def test_the_odd_axle_has_the_heavy_frame() -> None:
    figure = figure_of(diagnosis_of(TRUCK))
    widths = [axes.spines["left"].get_linewidth() for axes in figure.axes[::2]]
    assert widths.index(max(widths)) == 2
    assert sorted(widths)[-2] < 1.0
    # cold: a second line inside the first
    assert [patch.get_label() for patch in figure.patches + figure.artists].count("inner frame") == 1


def test_axes_are_named_with_units() -> None:
    figure = figure_of(diagnosis_of(VAN_HOT))
    assert figure.axes[0].get_ylabel() == "as shown by the gun [°C]"
    assert figure.axes[1].get_ylabel() == "off curve\n[°C]"
    assert figure.axes[1].get_xlabel() == "minutes since parked, read from 0.3 to 10.8"
    unknown = figure_of(diagnosis_of(ONE_ROUND))
    assert unknown.axes[1].get_xlabel().startswith("minutes on the log's clock")


def test_foot_names_file_policy_and_version() -> None:
    (foot,) = [text for text in words_of(figure_of(diagnosis_of(VAN_HOT))) if "sha256" in text]
    assert "van_front_left_hot.csv · sha256 5d5d5d5d5d5d · policy light ab12cd34 · thermlog " in foot


def test_strong_and_thin_styles_differ_in_width_alone() -> None:
    usual, strong, thin = side_style("L"), side_style("L", strong=True), side_style("L", thin=True)
    assert thin.width < usual.width < strong.width
    assert usual.dash == strong.dash == thin.dash

"""The chart of a diagnosis: what it shows, what it says, and that it is the same twice."""

from __future__ import annotations

import numpy as np
import pytest
from chart_samples import (
    AMBIENT_DEGC,
    CANNOT_TELL,
    COMMON_S,
    HUBS,
    MISSES,
    ONE_ROUND,
    TRUCK,
    VAN_EVEN,
    VAN_HOT,
    Story,
    diagnosis_of,
    without,
)
from figurewords import line_of, lines_of, words_of
from matplotlib.colors import to_rgb
from msgspec.structs import replace

from thermlog.charts.chart import figure_of
from thermlog.charts.drawing import BLUE, GREY, TEXT_COLOURS, VERMILLION, side_style
from thermlog.words.findings import PatternFinding


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
    figure = figure_of(diagnosis, show="F")
    curve = diagnosis.curves[0]
    dots = line_of(figure, 0, "1L brake readings")
    np.testing.assert_allclose(dots.get_ydata(), curve.indicated_degc * 1.8 + 32.0)
    residual = next(
        line for line in figure.axes[1].get_lines() if "1L brake residuals" in str(line.get_label())
    )
    np.testing.assert_allclose(residual.get_ydata(), curve.residual_k * 1.8)
    # 68 K between 150 K and 82 K of rise, times 9/5
    assert "122 ± 8 °F above front right" in words_of(figure)[0]
    assert figure.axes[0].get_ylabel() == "temperature shown by the gun [°F]"


def test_title_names_corner_number_and_moment() -> None:
    title = words_of(figure_of(diagnosis_of(VAN_HOT)))[0]
    # 150 - 82 = 68; half-width 3 * sqrt 2 = 4.2
    assert title == "Front left HOT: 68 ± 4 °C above front right, 2:00 min after parking"


@pytest.mark.parametrize(
    ("story", "beginning"),
    [
        (VAN_EVEN, "No odd brake: largest gap front, left 2 ± 4 °C above right"),
        (TRUCK, "Axle 3 right COLD: 73 ± 7 °C below axle 3 left"),
        (HUBS, "Rear right HUB HOT: 96 °C, 49 °C above the other side's hub"),
        (ONE_ROUND, "Front left HOT: 68 ± 13 °C above front right, 2:00 min on the log's clock"),
        (MISSES, "No odd brake, but cannot tell about rear: largest gap front,"),
        (CANNOT_TELL, "Cannot tell: one reading and no ambient"),
    ],
)
def test_titles_state_the_finding(story: Story, beginning: str) -> None:
    title = words_of(figure_of(diagnosis_of(story)))[0].replace("\n", " ")
    assert title.startswith(beginning)


@pytest.mark.parametrize(
    ("kind", "corners", "said"),
    [
        ("axle_hot", ("1L", "1R"), "Front left 168 °C, front right 100 °C: both HOT"),
        ("axle_cold", ("2L", "2R"), "Rear left 75 °C, rear right 73 °C: both COLD"),
        ("diagonal_hot", ("1L", "2R"), "Front left 168 °C, rear right 73 °C: HOT, a diagonal pair"),
        ("all_hot", ("1L", "1R", "2L", "2R"), ": all HOT, 2:00 min after parking"),
        (
            "several",
            ("1L", "2R"),
            "More than one fault: front left 168 °C, rear right 73 °C, 2:00 min after parking",
        ),
        ("corner_hot", (), "Front sides unlike, open which one is odd: left 68 ± 4 °C above right"),
    ],
)
def test_titles_of_wider_patterns(kind: str, corners: tuple[str, ...], said: str) -> None:
    diagnosis = diagnosis_of(VAN_HOT)
    pattern = PatternFinding(kind=kind, corners=corners)  # type: ignore[arg-type]  # parametrised text
    opened = replace(diagnosis, axles=tuple(replace(axle, suspect=None) for axle in diagnosis.axles))
    assert said in words_of(figure_of(replace(opened, pattern=pattern)))[0].replace("\n", " ")


def test_sides_differ_in_everything_grey_print_keeps() -> None:
    figure = figure_of(diagnosis_of(VAN_HOT))
    left, right = (line_of(figure, 0, f"1{side} brake readings") for side in "LR")
    assert left.get_marker() == "o"
    assert right.get_marker() == "^"
    assert to_rgb(left.get_markerfacecolor()) == to_rgb(BLUE)
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


@pytest.mark.parametrize("colour", [BLUE, VERMILLION, GREY])
def test_lines_reach_the_contrast_of_graphics(colour: str) -> None:
    # 3:1, WCAG 2.2, 1.4.11; white has luminance 1
    assert 1.05 / (luminance(colour) + 0.05) >= 3.0


@pytest.mark.parametrize("colour", list(TEXT_COLOURS.values()))
def test_letters_reach_the_contrast_of_text(colour: str) -> None:
    # 4.5:1, WCAG 2.2, 1.4.3
    assert 1.05 / (luminance(colour) + 0.05) >= 4.5


def test_every_fitted_corner_has_a_band_that_holds_its_curve() -> None:
    figure = figure_of(diagnosis_of(TRUCK))
    for panel in range(5):
        bands = figure.axes[2 * panel].collections
        assert [band.get_label() for band in bands] == [f"{panel + 1}{side} brake band" for side in "LR"]
        for band, side in zip(bands, "LR", strict=True):
            middle = line_of(figure, panel, f"{panel + 1}{side} brake curve").get_xydata()[30]
            assert band.get_paths()[0].contains_point(middle)


def test_panels_share_their_axes_and_have_strips() -> None:
    figure = figure_of(diagnosis_of(TRUCK))
    mains, strips = figure.axes[::2], figure.axes[1::2]
    assert len(mains) == len(strips) == 5
    assert len({axes.get_xlim() for axes in figure.axes}) == 1
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
    for axes in figure.axes:
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
    assert "right, no fit: 2 of 3 readings do not vote; read again" in words_of(figure)
    assert not lines_of(figure, 1, "2R brake curve")
    assert len(line_of(figure, 1, "2R brake readings").get_xdata()) == 3
    assert "right ?" in words_of(figure)


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
    assert len(figure.axes) == 2
    assert words_of(figure)[0].startswith("Cannot tell")


def test_hubs_are_thinner_and_labelled() -> None:
    figure = figure_of(diagnosis_of(HUBS))
    hub, brake = (line_of(figure, 0, f"1L {spot} curve") for spot in ("hub", "brake"))
    assert hub.get_linewidth() < brake.get_linewidth()
    assert "left hub" in words_of(figure)
    assert "right hub HOT" in words_of(figure)


def test_a_corner_the_pattern_names_is_labelled_even_if_its_own_verdict_is_soft() -> None:
    diagnosis = diagnosis_of(VAN_HOT)
    corners = tuple(replace(c, verdict="watch") if c.corner == "1L" else c for c in diagnosis.corners)
    figure = figure_of(replace(diagnosis, corners=corners))
    assert "left HOT" in words_of(figure)
    assert "Front: ! left HOT, 68 ± 4 °C above right" in words_of(figure)


def test_an_unlike_pair_is_told_though_the_whole_vehicle_is_not() -> None:
    diagnosis = diagnosis_of(replace(MISSES, verdicts={1: "watch"}))
    title = words_of(figure_of(replace(diagnosis, pattern=PatternFinding(kind="cannot_tell"))))[0]
    assert title.startswith("Watch the front pair: left 2 ± 4 °C above right")


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
    assert "Rear: ! both COLD, left 2 ± 4 °C above right" in words_of(figure_of(diagnosis))


def test_the_odd_axle_has_the_heavy_frame() -> None:
    figure = figure_of(diagnosis_of(TRUCK))
    widths = [axes.spines["left"].get_linewidth() for axes in figure.axes[::2]]
    assert widths.index(max(widths)) == 2
    assert sorted(widths)[-2] < 1.0


def test_axes_are_named_with_units() -> None:
    figure = figure_of(diagnosis_of(VAN_HOT))
    assert figure.axes[0].get_ylabel() == "temperature shown by the gun [°C]"
    assert figure.axes[1].get_ylabel() == "off curve\n[°C]"
    assert figure.axes[1].get_xlabel() == "minutes since parked, read from 0.3 to 10.8"
    unknown = figure_of(diagnosis_of(ONE_ROUND))
    assert unknown.axes[1].get_xlabel().startswith("minutes on the log's clock")


def test_foot_names_file_policy_and_version() -> None:
    foot = words_of(figure_of(diagnosis_of(VAN_HOT)))[2]
    assert "van_front_left_hot.csv · sha256 5d5d5d5d5d5d · policy light ab12cd34 · thermlog " in foot


def test_strong_and_thin_styles_differ_in_width_alone() -> None:
    usual, strong, thin = side_style("L"), side_style("L", strong=True), side_style("L", thin=True)
    assert thin.width < usual.width < strong.width
    assert usual.dash == strong.dash == thin.dash

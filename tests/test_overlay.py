"""The chart of a comparison: aligned, labelled, readable without colour; and the command that makes it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from chart_samples import (
    CANNOT_TELL,
    HUBS,
    LONG_NAME,
    MISSES,
    ONE_ROUND,
    TRUCK,
    URGENT,
    VAN_EVEN,
    VAN_HOT,
    Story,
    diagnosis_of,
)
from figurewords import assert_texts_keep_clear
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from msgspec.structs import replace

from thermlog.charts.drawing import STATE_COLOURS
from thermlog.charts.lettering import INK, LINE
from thermlog.charts.look import Look
from thermlog.charts.overlay import above_ambient, figure_of_overlay, start_s
from thermlog.charts.saving import save_figure
from thermlog.followup.proof import Comparison, compare_logs
from thermlog.reports.proofwords import axle_lines, below_headline, comparison_headline, log_names
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy

TRAINEE = replace(VAN_EVEN, file="trainee_unit7.csv", vehicle="unit 7")
SETS = {
    "before and after": (VAN_HOT, VAN_EVEN),
    "three": (VAN_HOT, VAN_EVEN, TRAINEE),
    "five axles": (TRUCK, replace(TRUCK, file="truck_after.csv", parked_known=False)),
    "misses": (VAN_HOT, MISSES),
    "long names": (LONG_NAME, replace(LONG_NAME, file="x" * 90 + ".csv")),
    "hubs": (HUBS, replace(HUBS, file="hub_again.csv")),
    "nothing to fit": (VAN_HOT, CANNOT_TELL),
    "one round": (VAN_HOT, replace(ONE_ROUND, file="once.csv")),
}


def compared(*stories: Story | Diagnosis, corners: tuple[str, ...] = ()) -> Comparison:
    found = [s if isinstance(s, Diagnosis) else diagnosis_of(s) for s in stories]
    return compare_logs(found, load_policy("light"), corners=corners)


def line_of(figure: Figure, panel: int, label: str) -> Line2D:
    (line,) = [line for line in figure.axes[panel].get_lines() if line.get_label() == label]
    return line


def test_rises_are_drawn_from_the_parked_moment() -> None:
    comparison = compared(VAN_HOT, VAN_EVEN)
    figure = figure_of_overlay(comparison)
    assert above_ambient(comparison)
    for one, name in zip(comparison.diagnoses, ("van_front_left_hot", "van_after_repair"), strict=True):
        curve = next(c for c in one.curves if c.corner == "1L")
        dots = line_of(figure, 0, f"{name} 1L brake readings")
        np.testing.assert_allclose(dots.get_xdata(), curve.elapsed_s / 60.0)
        np.testing.assert_allclose(dots.get_ydata(), curve.indicated_degc - 18.0)  # ambient of the samples
    assert figure.axes[0].get_ylabel() == "above own ambient [°C]"
    assert set(line_of(figure, 0, "ambient").get_ydata()) == {0.0}


def test_fahrenheit_scales_rises_without_the_32() -> None:
    comparison = compared(VAN_HOT, VAN_EVEN)
    curve = comparison.diagnoses[0].curves[0]
    dots = line_of(figure_of_overlay(comparison, Look(show="F")), 0, "van_front_left_hot 1L brake readings")
    np.testing.assert_allclose(dots.get_ydata(), (curve.indicated_degc - 18.0) * 1.8)


def test_unknown_parked_moment_is_aligned_at_the_first_reading_and_said() -> None:
    late = diagnosis_of(replace(VAN_EVEN, parked_known=False))
    late = replace(late, curves=tuple(replace(c, elapsed_s=c.elapsed_s + 500.0) for c in late.curves))
    assert start_s(late) == 520.0  # the samples begin at 20 s
    figure = figure_of_overlay(compared(VAN_HOT, late))
    assert line_of(figure, 0, "van_after_repair 1L brake readings").get_xdata()[0] == 0.0
    said = [text.get_text() for text in figure.texts]
    assert any(
        "parked moment not stated: van_after_repair, aligned at the first reading" in text for text in said
    )
    assert figure.axes[0].get_xlabel() == "minutes since parked or first reading"


def test_an_ambient_missing_anywhere_means_temperatures_as_read() -> None:
    comparison = compared(VAN_HOT, CANNOT_TELL)
    figure = figure_of_overlay(comparison)
    curve = comparison.diagnoses[0].curves[0]
    dots = line_of(figure, 0, "van_front_left_hot 1L brake readings")
    np.testing.assert_allclose(dots.get_ydata(), curve.indicated_degc)
    assert figure.axes[0].get_ylabel() == "as shown by the gun [°C]"


def test_side_by_marker_and_line_log_by_weight_and_number() -> None:
    """As in every chart left is a dot and solid, right a triangle and dashed; the last log is dark."""
    even = replace(VAN_EVEN, file="again.csv")
    figure = figure_of_overlay(compared(VAN_HOT, VAN_EVEN, even))
    names = ("van_front_left_hot", "van_after_repair", "again")
    for side, marker, dash in (("L", "o", "-"), ("R", "^", "--")):
        lines = [line_of(figure, 1, f"{name} 2{side} brake curve") for name in names]
        assert {line.get_linestyle() for line in lines} == {dash}
        assert [line.get_color() for line in lines] == [LINE, LINE, INK]
        assert lines[-1].get_linewidth() > lines[0].get_linewidth()
        dots = [line_of(figure, 0, f"{name} 1{side} brake readings") for name in names]
        assert {dot.get_marker() for dot in dots} == {marker}


def test_the_edge_of_the_healthy_band_is_no_curve_in_grey() -> None:
    """Thin grey dashes are an earlier right side, a thin grey line its left: neither is the edge."""
    figure = figure_of_overlay(compared(VAN_HOT, VAN_EVEN))
    edges = [line_of(figure, 0, f"1L healthy {which}") for which in ("low", "high")]
    curves = [line_of(figure, 1, f"van_front_left_hot 2{side} brake curve") for side in "LR"]
    for edge in edges:
        assert edge.get_linestyle() != curves[1].get_linestyle()
        assert edge.get_linewidth() < min(curve.get_linewidth() for curve in curves) / 1.5


def test_every_line_is_labelled_with_number_and_side_and_the_key_names_the_logs() -> None:
    said = {t.get_text().replace("\n", " ") for t in figure_of_overlay(compared(VAN_HOT, VAN_EVEN)).texts}
    assert {"1 left: + HOT", "1 right", "2 left: even again", "2 right", "ambient"} <= said
    assert any("1 van_front_left_hot · 2 van_after_repair (dark lines)" in text for text in said)


def test_the_odd_wheel_is_marked_as_in_a_check() -> None:
    """Heavy line in its state's colour, bar between the sides at its moment, healthy band of the last log."""
    figure = figure_of_overlay(compared(VAN_HOT, VAN_EVEN))
    odd, mate = (line_of(figure, 0, f"van_front_left_hot 1{side} brake curve") for side in "LR")
    assert odd.get_color() == STATE_COLOURS["hot"]
    assert odd.get_linewidth() > mate.get_linewidth()
    np.testing.assert_allclose(sorted(line_of(figure, 0, "gap").get_ydata()), [82.0, 150.0])  # of the story
    low = line_of(figure, 0, "1L healthy low")
    # two thirds of the mate's rise at the common time, as the samples have it
    assert np.interp(2.0, *low.get_data()) == pytest.approx(2.0 * 82.0 / 3.0, abs=0.1)


def test_four_logs_stay_readable() -> None:
    """Texts keep clear of each other, and every label is short: names stand in the key."""
    four = [replace(VAN_EVEN, file=f"a_rather_long_name_{k}.csv") for k in range(4)]
    figure = figure_of_overlay(compared(*four))
    assert_texts_keep_clear(figure)
    labels = [text.get_text() for text in figure.texts if text.get_text()[:2] in {"1 ", "2 ", "3 ", "4 "}]
    assert sum(len(label) < 12 for label in labels) == 16  # four logs, four corners; the key is longer


def test_line_below_the_title_names_vehicle_and_alignment() -> None:
    said = [text.get_text() for text in figure_of_overlay(compared(VAN_HOT, VAN_EVEN)).texts]
    assert said[1].endswith("\nvan 12 · aligned at the parked moment")


def test_title_and_heads_state_the_repair() -> None:
    said = [text.get_text() for text in figure_of_overlay(compared(VAN_HOT, VAN_EVEN)).texts]
    assert said[0] == "Front even again: left minus right was +68 ± 4 °C, is now +2 ± 4 °C"
    assert any(text.startswith("Front: even again") for text in said)
    assert any("change -66 ± 6 °C" in text for text in said)


def test_reasons_name_wheels_in_words_for_a_code_reads_as_the_number_of_a_drive() -> None:
    figure = figure_of_overlay(compared(VAN_EVEN, VAN_HOT))
    said = " ".join(text.get_text().replace("\n", " ") for text in figure.texts)
    assert "front left is hot now and was not before" in said
    for text in (said, str(figure.get_label())):
        assert "1L" not in text
        assert "1R" not in text


def test_two_vehicles_in_one_chart_have_no_change() -> None:
    said = [text.get_text() for text in figure_of_overlay(compared(VAN_HOT, TRAINEE)).texts]
    assert any("left minus right" in text for text in said)
    assert not any("change" in text.split() for text in said)


def test_a_last_log_that_is_urgent_warns_below_the_title() -> None:
    figure = figure_of_overlay(compared(VAN_HOT, replace(URGENT, file="urgent.csv")))
    said = [text.get_text().replace("\n", " ") for text in figure.texts]
    assert "Keep clear." in said
    assert "Keep clear." in str(figure.get_label())
    assert "2 left: !! STOP" in said
    earlier = figure_of_overlay(compared(replace(URGENT, file="urgent.csv"), VAN_EVEN))
    assert "Keep clear." not in [text.get_text() for text in earlier.texts]


def test_bands_for_two_logs_only() -> None:
    two, three = (figure_of_overlay(compared(*SETS[name])) for name in ("before and after", "three"))
    found = [
        [str(one.get_label()).split()[-1] for one in figure.axes[0].collections] for figure in (two, three)
    ]
    assert [labels.count("band") for labels in found] == [4, 0]


def test_chosen_corners_alone_are_drawn() -> None:
    figure = figure_of_overlay(compared(VAN_HOT, VAN_EVEN, corners=("1L",)))
    assert len(figure.axes) == 1
    curves = [line for line in figure.axes[0].get_lines() if str(line.get_label()).endswith("curve")]
    assert {str(line.get_label()).split()[-3] for line in curves} == {"1L"}


def test_moments_close_together_are_one_line() -> None:
    near = replace(diagnosis_of(VAN_EVEN), common_time_s=126.0)
    figure = figure_of_overlay(compared(VAN_HOT, near))
    assert [text.get_text() for text in figure.texts].count("compared at 2:06 min") == 2
    far = replace(near, common_time_s=300.0)
    said = [text.get_text() for text in figure_of_overlay(compared(VAN_HOT, far)).texts]
    assert said.count("compared at 2:00 min and 5:00 min") == 2


def test_misses_stay_crossed_out() -> None:
    figure = figure_of_overlay(compared(VAN_HOT, MISSES))
    crosses = [line for axes in figure.axes for line in axes.get_lines() if line.get_marker() == "x"]
    assert sum(len(line.get_xdata()) for line in crosses) == 3


def test_a_reading_that_does_not_vote_is_of_a_drive() -> None:
    """Both drives miss at a wheel: each note names its own, though the reason is one."""
    both = compared(replace(MISSES, file="first.csv"), replace(MISSES, file="second.csv"))
    said = " ".join(text.get_text().replace("\n", " ") for text in figure_of_overlay(both).texts)
    for number in (1, 2):  # of the story: one miss in front, two at the rear
        assert said.count(f"drive {number}: far from the curve: aim missed") == 2
        assert said.count(f"drive {number}: far from the curve: aim missed (2 readings)") == 1


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("before and after", ["hatched: a healthy brake in drive 2", "grey: 95 % of each curve"]),
        ("three", ["hatched: a healthy brake in drive 3"]),
        ("nothing to fit", ["grey: 95 % of each curve"]),  # no curve, hence no band, in the second
    ],
)
def test_what_is_hatched_and_grey_is_said_where_it_is_drawn(name: str, said: list[str]) -> None:
    below = figure_of_overlay(compared(*SETS[name])).texts[1].get_text()
    assert [part for part in below.split("\n")[1].split(" · ") if ": " in part] == [
        f"{part}, given the others there" if "hatched" in part else part for part in said
    ]


@pytest.mark.parametrize("name", list(SETS))
def test_texts_keep_clear_of_each_other_and_of_the_edge(name: str) -> None:
    assert_texts_keep_clear(figure_of_overlay(compared(*SETS[name])))


@pytest.mark.parametrize("name", list(SETS))
def test_no_finding_of_a_comparison_is_cut_on_a_phone(name: str) -> None:
    """Only names of drives may be shortened: they are keys, and the foot has their files with digests."""
    comparison = compared(*SETS[name])
    figure = figure_of_overlay(comparison, Look(width="narrow"))
    drawn = " ".join(" ".join(text.get_text() for text in figure.texts).split())
    names = log_names(comparison.diagnoses)
    said = [comparison_headline(comparison, names, "C"), below_headline(comparison, names)]
    said += [line for axle in comparison.axles for line in axle_lines(axle, comparison, names, "C")]
    assert [line for line in said if " ".join(line.split()) not in drawn] == []
    assert "bands and ranges: 95 %" in drawn


@pytest.mark.parametrize("suffix", ["png", "svg"])
def test_the_same_comparison_gives_the_same_bytes(tmp_path: Path, suffix: str) -> None:
    files = [tmp_path / f"{name}.{suffix}" for name in "ab"]
    for file in files:
        save_figure(figure_of_overlay(compared(VAN_HOT, VAN_EVEN)), file)
    assert files[0].read_bytes() == files[1].read_bytes()

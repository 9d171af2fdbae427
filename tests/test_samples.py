"""The sample logs are what their script writes, and each is explained."""

from __future__ import annotations

import csv
import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from thermlog.reading.read import read_log
from thermlog.words.tables import stack_readings

ROOT = Path(__file__).parent.parent
FOLDER = ROOT / "sample_logs"


def _script():
    spec = importlib.util.spec_from_file_location("make_samples", ROOT / "bench" / "make_samples.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules["make_samples"] = module  # its records look their module up
    spec.loader.exec_module(module)
    return module


make_samples = _script()


@pytest.mark.parametrize("sample", make_samples.SAMPLES, ids=lambda sample: sample.name)
def test_log_is_written_again_byte_for_byte(sample):
    written = (FOLDER / f"{sample.name}.csv").read_bytes()
    assert written == make_samples.sample_text(sample).encode()


def test_expected_findings_are_those_of_the_script():
    assert (FOLDER / "EXPECTED.table").read_text(encoding="utf-8") == make_samples.expected_text()


def test_every_log_is_expected_and_explained():
    logs = {path.name for path in FOLDER.glob("*.csv")} - {"EXPECTED.table"}
    with (FOLDER / "EXPECTED.table").open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table))
    explained = (FOLDER / "README.md").read_text(encoding="utf-8")
    assert {row["file"] for row in rows} == logs
    assert all(f"`{name}`" in explained for name in logs)
    assert "simulated" in explained
    assert len(logs) >= 14


def test_every_pattern_is_among_them():
    found = {sample.found for sample in make_samples.SAMPLES}
    assert found >= {
        "none", "corner_hot", "corner_cold", "axle_hot", "axle_cold", "diagonal_hot", "all_hot", "hub_hot",
        "cannot_tell",
    }  # fmt: skip


@pytest.mark.parametrize("sample", make_samples.SAMPLES, ids=lambda sample: sample.name)
def test_true_temperatures_bear_the_finding_out(sample):
    """The faulty corners are hotter (or colder) than they would be without the fault, by 30 K and more."""
    faulty = make_samples.simulate_sample(sample)
    sound = make_samples.simulate_sample(make_samples.replace(sample, fault=make_samples.HEALTHY))
    spot = "hub" if sample.found == "hub_hot" else "brake"
    corners = faulty[0].vehicle_class.corners
    for with_fault, without in zip(faulty, sound, strict=True):
        change_k = (with_fault.surface_degc(120.0, spot) - without.surface_degc(120.0, spot))[0]
        changed = {corner: k for corner, k in zip(corners, change_k, strict=True) if abs(k) > 30.0}
        assert set(sample.corners.split()) <= set(changed)
        assert all((changed[c] < 0.0) == ("cold" in sample.found) for c in sample.corners.split())


@pytest.mark.parametrize("sample", make_samples.SAMPLES, ids=lambda sample: sample.name)
def test_reading_the_log_gives_back_what_was_simulated(sample):
    read = read_log(str(FOLDER / f"{sample.name}.csv"))
    table = read.readings
    made = stack_readings([fleet.readings for fleet in make_samples.simulate_sample(sample)])
    assert read.record.set_aside == ()
    assert [case.drive for case in table.cases] == list(sample.drives)
    assert all(case.vehicle == sample.vehicle and case.parked_known for case in table.cases)
    for got, expected in zip(table.cases, made.cases, strict=True):
        assert got.ambient_degc == pytest.approx(expected.ambient_degc, abs=0.03)  # 0.1 °F is written
    wide = sample.style.layout == "wide"  # the order inside a round, and its moments, are not written
    places = [2 * t.axle + t.side for t in (table, made)]
    order = [
        np.lexsort((t.elapsed_s, p)) if wide else slice(None)
        for t, p in zip((table, made), places, strict=True)
    ]
    np.testing.assert_array_equal(places[0][order[0]], places[1][order[1]])
    np.testing.assert_allclose(
        table.indicated_degc[order[0]],
        made.indicated_degc[order[1]],
        atol=0.03 if sample.style.unit == "F" else 1e-9,
    )
    if not wide:
        np.testing.assert_array_equal(table.elapsed_s, made.elapsed_s)

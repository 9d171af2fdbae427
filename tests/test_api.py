"""The Python interface: two functions that hand out frames."""

from __future__ import annotations

import math
import os
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from readcases import PLAIN

import thermlog
from thermlog.reading.readoptions import ColumnMap
from thermlog.reports.report_csv import CORNERS
from thermlog.words.errors import LogRefusedError, OptionError, PolicyError, ThermlogError, VehicleError

VAN = str(Path(__file__).parent.parent / "sample_logs" / "van_front_left_hot.csv")
TYPES = {
    "file": "string", "vehicle": "string", "drive": "string", "line": "int64", "axle": "int64",
    "side": "string", "corner": "string", "spot": "string", "elapsed_s": "float64",
    "indicated_degc": "float64",
}  # fmt: skip


def types(frame: pd.DataFrame) -> dict[str, str]:
    return {name: str(kind) for name, kind in frame.dtypes.items()}


def test_read_logs_gives_the_documented_columns():
    """One row a reading, names as documented, a single path is enough."""
    frame = thermlog.read_logs(VAN)

    assert types(frame) == TYPES
    assert len(frame) == 12
    assert frame.attrs == {"unreadable": [], "codes": [], "dangers": [], "passed_over": []}


@pytest.mark.parametrize("paths", [[], "nowhere.csv", ["no*.csv"], Path("empty")])
def test_a_frame_without_rows_has_the_same_columns_and_types(paths):
    Path("empty").mkdir()
    frame = thermlog.read_logs(paths)

    assert (types(frame), len(frame)) == (TYPES, 0)
    assert pd.concat([frame, thermlog.read_logs(VAN)]).dtypes.astype(str).to_dict() == TYPES


def test_a_column_without_any_value_has_its_type_too():
    Path("a.csv").write_text(PLAIN)
    frame = thermlog.read_logs("a.csv")

    assert frame["vehicle"].isna().all()
    assert types(frame) == TYPES


def test_diagnose_gives_a_row_a_corner(tmp_path):
    """The planted corner of the sample is the hot one; a bad file is listed and stops nothing."""
    bad = tmp_path / "bad.csv"
    bad.write_text("nothing\n")
    frame = thermlog.diagnose([VAN, str(bad)], policy="light")

    assert frame.set_index("corner")["verdict"].to_dict() == {
        "1L": "hot",
        "1R": "even",
        "2L": "even",
        "2R": "even",
    }
    assert [file for file, _ in frame.attrs["unreadable"]] == [str(bad)]


def test_what_would_sharpen_a_no_is_told_where_it_is_asked_for():
    """As the command tells it of the same log, and nothing of it else."""
    log = VAN.replace("van_front_left_hot", "saloon_healthy")
    assert "sharper" not in thermlog.diagnose(log).attrs
    steps = thermlog.diagnose(log, sharper=True).attrs["sharper"]
    asked = [(step["question"], step["by"]) for step in steps]
    same_drive = ["round", "hotter", "paint"]
    assert asked == [("drag", by) for by in (*same_drive, "coast")] + [("idle", by) for by in same_drive]
    assert {(step["file"], step["drive"]) for step in steps} == {(log, "normal")}
    for step in steps:
        figures = [step["rise_k"], step["lost_share"]]
        assert (step["why_not"] is None) == any(figure is not None for figure in figures)


def test_both_functions_name_and_type_their_columns_alike():
    """What both hold has one name and one type, with rows and without."""
    told = types(thermlog.diagnose([]))

    assert list(told) == [column.name for column in CORNERS]
    shared = told.keys() & TYPES.keys()
    assert {"file", "vehicle", "drive", "corner", "spot"} <= shared
    assert all(told[name] == TYPES[name] for name in shared)
    assert {told[name] for name in ("rise_k", "tau_s", "start_degc", "p_hot")} == {"float64"}
    assert told["readings"] == "int64"
    assert types(thermlog.diagnose(VAN)) == told
    assert types(thermlog.fleet_table(VAN)) == types(thermlog.fleet_table([]))


def test_options_of_reading_are_passed_on():
    """An option that overrides wins over the header line of the log."""
    over = thermlog.diagnose(VAN, ambient_degc=30.0, override="ambient")
    assert over["rise_k"].max() < thermlog.diagnose(VAN)["rise_k"].max()


def test_a_log_that_states_otherwise_is_listed():
    frame = thermlog.read_logs(VAN, ambient_degc=-20)
    assert "--override ambient" in frame.attrs["unreadable"][0][1]


def test_path_that_does_not_exist_is_listed():
    """A missing file is one of those that could not be read."""
    frame = thermlog.read_logs("nowhere.csv")

    assert len(frame) == 0
    assert [file for file, _ in frame.attrs["unreadable"]] == ["nowhere.csv"]
    assert frame.attrs["codes"] == ["no_file"]


@pytest.mark.parametrize(
    "given",
    [
        Path("depot"),
        "depot",
        [Path("depot/a.csv"), "depot/b.csv"],
        (path for path in [Path("depot/a.csv"), Path("depot/b.csv")]),
        {Path("depot/a.csv"): 1, "depot/b.csv": 2},
        Path("depot") / "*.csv",
    ],
    ids=type,
)
def test_a_path_may_be_given_in_every_form(given):
    Path("depot").mkdir()
    for name in "ab":
        Path(f"depot/{name}.csv").write_text(PLAIN)
    Path("depot/c.xls").write_text("")
    frame = thermlog.read_logs(given)

    assert frame["file"].unique().tolist() == ["depot/a.csv", "depot/b.csv"]
    assert frame.attrs["unreadable"] == []
    whole = isinstance(given, (str, Path)) and "*" not in str(given)
    assert frame.attrs["passed_over"] == ([(".xls", 1)] if whole else [])


MEANINGLESS = [
    {"unit": "Q"},
    {"unit": 3},
    {"ambient_degc": -400},
    {"ambient_degc": 64.0},  # °F, as likely as not
    {"ambient_degc": math.nan},
    {"ambient_degc": math.inf},
    {"ambient_degc": "18"},
    {"ambient_degc": True},
    {"ambient_sigma_k": 0},
    {"ambient_sigma_k": -1.0},
    {"ambient_sigma_k": math.nan},
    {"vehicle": "v.toml"},
    {"vehicle": 7},
    {"drive": "fast"},
    {"override": "gun"},
    {"date_order": "ymd"},
    {"axle_count": "all"},
    {"traffic_side": "middle"},
    {"limits": 3},
    {"lowest_degc": 10.0},
    {"seen": "mist"},
    {"column_map": 3},
    {"ambient": 18.0},
    {"delimiter": "ab"},
    {"encoding": "utf-99"},
    {"encoding": "utf\0"},
]


@pytest.mark.parametrize("function", [thermlog.read_logs, thermlog.diagnose])
@pytest.mark.parametrize("given", MEANINGLESS, ids=str)
def test_an_option_without_meaning_is_refused_by_name(function, given):
    with pytest.raises(OptionError) as refusal:
        function(VAN, **given)

    assert str(refusal.value).startswith(next(iter(given)))
    assert "\n" not in str(refusal.value)


@pytest.mark.parametrize("paths", [None, 3, b"a.csv", [None], [b"a.csv"], "", [""]])
def test_what_is_no_path_is_refused(paths):
    with pytest.raises(OptionError, match=r"^paths="):
        thermlog.read_logs(paths)


def test_errors_are_the_packages_own_and_named():
    Path("gone").mkdir()
    for given, kind in (
        ({"policy": "nosuch"}, PolicyError),
        ({"policy": Path("nosuch.toml")}, PolicyError),
        ({"policy": 3}, OptionError),
        ({"policy": "a\0b"}, PolicyError),
        ({"vehicle_file": "a\0b"}, VehicleError),
        ({"vehicle_file": Path("nosuch.toml")}, VehicleError),
        ({"vehicle_file": "gone"}, VehicleError),
        ({"column_map": Path("nosuch.toml")}, LogRefusedError),
    ):
        with pytest.raises(kind) as refusal:
            thermlog.diagnose(VAN, **given)
        assert isinstance(refusal.value, ThermlogError)
        assert kind.__name__ in (thermlog.diagnose.__doc__ or "")


@pytest.mark.parametrize("air", [18, 18.0, np.float64(18.0), np.int64(18), None])
def test_a_number_may_be_of_any_kind(air):
    Path("a.csv").write_text(PLAIN)
    assert len(thermlog.read_logs("a.csv", ambient_degc=air, seen="smoke at FL")) == 4


def test_a_column_map_may_be_a_record_or_a_file():
    Path("odd.csv").write_text("0;FL;80\n10;FR;81\n")
    record = ColumnMap(
        layout="long", header_line=0, columns={"time": 1, "position": 2, "temperature": 3}, unit="C"
    )
    Path("map.toml").write_text(
        'layout = "long"\nheader_line = 0\n[columns]\ntime = 1\nposition = 2\ntemperature = 3\n'
        '[units]\ntemperature = "C"\n'
    )
    for column_map in (record, "map.toml", Path("map.toml")):
        assert len(thermlog.read_logs("odd.csv", column_map=column_map)) == 2


def test_a_path_object_gives_the_same_as_its_text():
    Path("a.csv").write_text(PLAIN)
    pd.testing.assert_frame_equal(thermlog.read_logs(Path("a.csv")), thermlog.read_logs("a.csv"))
    assert os.fspath(Path("a.csv")) == thermlog.read_logs(Path("a.csv"))["file"][0]


@pytest.mark.parametrize(
    ("given", "cure"),
    [
        ({"unit": "Q"}, "write one of C, F, K"),
        ({"drive": "fast"}, "write one of normal, coast, verification"),
        ({"override": ["gun"]}, "write one of unit, ambient"),
        ({"delimiter": "ab"}, "one sign is wanted, or tab"),
    ],
    ids=str,
)
def test_a_refused_option_says_what_may_be_written(given, cure):
    with pytest.raises(OptionError, match=cure):
        thermlog.read_logs(VAN, **given)


@pytest.mark.parametrize("delimiter", ["tab", "\t"])
def test_a_tab_may_be_named_as_on_the_command_line(delimiter):
    Path("a.csv").write_text(PLAIN.replace(",", "\t"))
    assert len(thermlog.read_logs("a.csv", delimiter=delimiter)) == 4


def test_read_logs_names_its_errors_too():
    with pytest.raises(PolicyError):
        thermlog.read_logs(VAN, policy="nosuch")
    for kind in (OptionError, LogRefusedError, PolicyError):
        assert kind.__name__ in (thermlog.read_logs.__doc__ or "")

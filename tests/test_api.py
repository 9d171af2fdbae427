"""The Python interface: two functions that hand out frames."""

from pathlib import Path

import thermlog

VAN = str(Path(__file__).parent.parent / "sample_logs" / "van_front_left_hot.csv")


def test_read_logs_gives_the_documented_columns():
    """One row a reading, names as documented, a single path is enough."""
    frame = thermlog.read_logs(VAN)

    assert list(frame.columns) == [
        "log", "vehicle", "drive", "line", "axle", "side", "corner", "spot", "elapsed_s", "indicated_degc",
    ]  # fmt: skip
    assert len(frame) == 12
    assert frame.attrs["unreadable"] == []


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


def test_options_of_reading_are_passed_on():
    """The option wins over the header line of the log."""
    assert thermlog.diagnose(VAN, ambient_degc=30.0)["rise_k"].max() < thermlog.diagnose(VAN)["rise_k"].max()


def test_path_that_does_not_exist_is_listed():
    """A missing file is one of those that could not be read."""
    frame = thermlog.read_logs("nowhere.csv")

    assert len(frame) == 0
    assert [file for file, _ in frame.attrs["unreadable"]] == ["nowhere.csv"]

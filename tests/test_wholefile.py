"""Result files appear whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from thermlog.cli.files import result_stream
from thermlog.reports.wholefile import finished, refuse_existing, write_whole
from thermlog.words.errors import OutputError


def fill(place: Path) -> None:
    place.write_text("whole")


def fill_half(place: Path) -> None:
    place.write_text("ha")
    raise ValueError


def fail_half_way(path: str) -> None:
    with result_stream(path, force=False) as out:
        out.write("half")
        message = "later"
        raise ValueError(message)


def refuse_by_disk(place: Path) -> None:
    raise OSError(28, "No space left on device", str(place))


def test_file_is_written_and_replaced_only_by_force(tmp_path):
    target = tmp_path / "out.txt"
    write_whole(str(target), fill, force=False)
    assert target.read_text() == "whole"

    with pytest.raises(OutputError, match="add --force"):
        write_whole(str(target), fill, force=False)
    write_whole(str(target), fill, force=True)
    assert [file.name for file in tmp_path.iterdir()] == ["out.txt"]


@pytest.mark.parametrize(("write", "fault"), [(fill_half, ValueError), (refuse_by_disk, OutputError)])
def test_failure_leaves_the_old_file_and_nothing_else(tmp_path, write, fault):
    target = tmp_path / "out.txt"
    target.write_text("old")
    with pytest.raises(fault):
        write_whole(str(target), write, force=True)

    assert target.read_text() == "old"
    assert [file.name for file in tmp_path.iterdir()] == ["out.txt"]


def test_result_stream_writes_nothing_if_the_command_fails(tmp_path):
    with pytest.raises(ValueError, match="later"):
        fail_half_way(str(tmp_path / "out.txt"))

    assert list(tmp_path.iterdir()) == []


def test_folder_and_missing_folder_are_refused(tmp_path):
    with pytest.raises(OutputError, match="is a folder"):
        refuse_existing(str(tmp_path), force=True)
    with pytest.raises(OutputError, match="does not exist"):
        refuse_existing(str(tmp_path / "no" / "out.txt"), force=True)


def test_result_is_readable_like_any_other_file(tmp_path):
    write_whole(str(tmp_path / "out.txt"), fill, force=False)
    fill(tmp_path / "plain.txt")

    assert (tmp_path / "out.txt").stat().st_mode == (tmp_path / "plain.txt").stat().st_mode


def test_a_file_written_over_and_over_is_named_once(tmp_path):
    finished.clear()
    for _ in range(3):
        write_whole(str(tmp_path / "job.json"), fill, force=True)
    assert finished == [str(tmp_path / "job.json")]

"""Troubles that docs/log-format.md lists and that are not in one log: of files, folders, options."""

from __future__ import annotations

import contextlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

from thermlog.followup.jobrecord import known_job
from thermlog.judging.diagnose import Settings, judge
from thermlog.practice.scorefile import known_scores
from thermlog.reading.depotfile import load_depot
from thermlog.reading.files.paths import expand_paths
from thermlog.reading.optionchecks import checked_options
from thermlog.reading.read import read_log
from thermlog.reading.vehiclefile import load_vehicle
from thermlog.reports.wholefile import refuse_existing
from thermlog.taking.journal import Journal
from thermlog.words.errors import ThermlogError
from thermlog.words.policy import load_policy


def _bay() -> Path:
    folder = Path("bay")
    folder.mkdir()
    return folder


def _found(path: str) -> object:
    return expand_paths([path]).refused[0]


def _none_such() -> object:
    return read_log("log.csv")


def _folder() -> object:
    _bay()
    return read_log("bay")


def _link_to_itself() -> object:
    Path("log.csv").symlink_to("log.csv")
    return read_log("log.csv")


def _dangling() -> object:
    (_bay() / "log.csv").symlink_to("gone.csv")
    return _found("bay")


def _pipe() -> object:
    os.mkfifo(_bay() / "log.csv")
    return _found("bay")


def _other_kinds() -> object:
    bay = _bay()
    for name in ("plan.ods", "photo.jpg"):
        (bay / name).touch()
    return _found("bay")


def _no_match() -> object:
    return _found("*.csv")


def _bad_map() -> object:
    Path("map.toml").write_text('layout = "round"\n', encoding="utf-8")
    return checked_options({"column_map": "map.toml"})


def _bad_option() -> object:
    return checked_options({"unit": "Q"})


def _bad_policy() -> object:
    return load_policy("gentle")


def _bad_depot() -> object:
    Path("depot.toml").write_text('[[units]]\nid = "truck 104"\nclas = "bus"\n', encoding="utf-8")
    return load_depot("depot.toml")


def _bad_vehicle() -> object:
    Path("van.toml").write_text("axels = 2\n", encoding="utf-8")
    return load_vehicle("van.toml")


def _taken() -> object:
    Path("report.txt").write_text("", encoding="utf-8")
    return refuse_existing("report.txt", force=False)


def _no_history() -> object:
    from thermlog.history.store import History

    Path("van.csv").write_text("position,temp_c\n", encoding="utf-8")
    return History.open("van.csv")


def _no_record() -> object:
    Path("card.json").write_text("{}", encoding="utf-8")
    return known_job("card.json")


def _no_walk() -> object:
    Path("walk.csv").write_text("position,temp_c\nFL,80\n", encoding="utf-8")
    return Journal.go_on("walk.csv")


def _no_score() -> object:
    Path("score.json").write_text("{}", encoding="utf-8")
    return known_scores("score.json")


def _unknown_address() -> object:
    return read_log("depot://yard/log.csv")


def _no_scheduler() -> object:
    from thermlog.fleet.cluster import joined

    with joined("here.json", tell=print) as cluster:
        return cluster


def _no_such_surface() -> object:
    Path("log.csv").write_text(
        "# ambient: 50 C\ntime_s,position,temp_c,emissivity\n0,FL,20,0.1\n9,FR,80,0.95\n20,RL,70,0.95\n",
        encoding="utf-8",
    )
    return judge(read_log("log.csv").readings, Settings()).readings.cases[0].log


PLACES: dict[str, dict[str, Callable[[], object]]] = {
    "Files and folders": {
        "no such file": _none_such,
        "a folder where a log is wanted": _folder,
        "a pattern that matches nothing": _no_match,
        "a link that leads to itself": _link_to_itself,
        "a link that leads nowhere": _dangling,
        "a pipe in a folder": _pipe,
        "an address of an unknown kind": _unknown_address,
        "a folder without a log": _other_kinds,
    },
    "Options and other files": {
        "an option that means nothing": _bad_option,
        "a column map that cannot be": _bad_map,
        "a policy nobody knows": _bad_policy,
        "a file of units that cannot be read": _bad_depot,
        "a vehicle file that cannot be read": _bad_vehicle,
        "a result where a file is already": _taken,
        "an emissivity that cannot be": _no_such_surface,
        "a file that is no record of a job": _no_record,
        "a file that is no history": _no_history,
        "a scheduler file that is not there": _no_scheduler,
        "a walk to go on with that was not taken with thermlog": _no_walk,
        "a file that is no score of practice": _no_score,
    },
}


def placed(place: Callable[[], object]) -> object:
    """What comes of a trouble that makes its own files, in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        try:
            return place()
        except ThermlogError as refusal:
            return refusal

"""A word for a column is added in one file; then every layout, map, message and page knows it."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from thermlog.reading.vocabulary import HEADINGS, ROLES
from thermlog.words.columns import COLUMNS, FIELDS, FRAME_TYPES, HANDED_OUT, STACKED, CellKind
from thermlog.words.tables import Readings, stack_readings

ROOT = Path(__file__).parents[1]
LAYOUTS = {
    "a row a reading": "{time}_s,{position},{temperature} (C)\n" + "".join(
        f"{20 * k},{wheel},{90 - k}\n" for k, wheel in enumerate(("FL", "FR", "RL", "RR"))
    ),
    "a column a wheel": "{time}_s," + ",".join(f"{{temperature}} {w} (C)" for w in ("FL", "FR", "RL", "RR"))
    + "\n0,90,89,88,87\n",
    "a row a wheel, a column a round": "{position},{temperature} 1 (C),{temperature} 2 (C)\n"
    "FL,90,88\nFR,89,87\nRL,88,86\nRR,87,85\n",
    "a time column beside each wheel column": ",".join(
        f"{{temperature}} {wheel} (C),{{time}}_s" for wheel in ("FL", "FR", "RL", "RR")
    )
    + "\n90,0,89,20,88,40,87,60\n",
}  # fmt: skip
USUAL = {"time": "time", "position": "position", "temperature": "temp"}


@pytest.fixture(scope="module")
def with_word(tmp_path_factory):
    """A copy of the package in whose vocabulary every column has one word more: its role behind "qx"."""
    home = tmp_path_factory.mktemp("grown")
    shutil.copytree(ROOT / "thermlog", home / "thermlog", ignore=shutil.ignore_patterns("__pycache__"))
    file = home / "thermlog" / "reading" / "vocabulary.py"
    text = file.read_text(encoding="utf-8")
    head, tail = text.split("HEADINGS: dict[Role, str] = {")
    for role in HEADINGS:
        own = f'    "{role}": AIR,' if f'    "{role}": AIR,' in tail else f'    "{role}": "'
        grown = f'    "{role}": "qx{role}|" + AIR,' if own.endswith("AIR,") else f"{own}qx{role}|"
        assert tail.count(own) >= 1
        tail = tail.replace(own, grown, 1)
    file.write_text(f"{head}HEADINGS: dict[Role, str] = {{{tail}", encoding="utf-8")
    return home


def ran(home: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """What the package of that folder says."""
    return subprocess.run(
        [sys.executable, *arguments],
        env=os.environ | {"PYTHONPATH": str(home)},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
    )


def inspected(home: Path, text: str, *options: str) -> object:
    """What ``inspect`` tells of a log, without the hash of its bytes."""
    Path("log.csv").write_text("# ambient: 18 C\n" + text)
    done = ran(home, "-m", "thermlog", "inspect", "log.csv", "--format", "json", *options)
    assert done.returncode == 0, done.stderr
    told = json.loads(done.stdout)
    del told["log"]["sha256"]
    return told


def same_but_for_words(new: object, old: object) -> None:
    """Both tell the same of the readings, and the new word stands where columns are named."""
    text = json.dumps(new)
    assert "qx" in text
    for role, usual in USUAL.items():
        text = text.replace(f"qx{role}", usual)
    assert json.loads(text) == old


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_new_word_is_known_in_every_layout(with_word, layout):
    text, words = LAYOUTS[layout], {role: f"qx{role}" for role in USUAL}
    new, old = inspected(with_word, text.format(**words)), inspected(ROOT, text.format(**USUAL))
    assert f'"{layout}"' in json.dumps(new)
    same_but_for_words(new, old)


def test_a_new_word_is_known_of_every_column_beside_the_readings(with_word):
    beside = {
        "vehicle": "van 7", "drive": "coast", "spot": "hub", "ambient": "21 C", "emissivity": "0.6",
        "distance": "0.4", "unit": "C", "who": "Kim", "odometer": "120000 km", "note": "smoke",
        "date": "2031-05-04", "gun": "gun 2",
    }  # fmt: skip
    rows = [f"{20 * k},{wheel},{90 - k}," for k, wheel in enumerate(("FL", "FR", "RL", "RR"))]

    def log(mark: str) -> str:
        head = ",".join(["time_s", "position", "temp", *(mark + role for role in beside)])
        return head + "\n" + "\n".join(row + ",".join(beside.values()) for row in rows) + "\n"

    Path("log.csv").write_text(log("qx"))
    new = ran(with_word, "-m", "thermlog", "inspect", "log.csv").stdout
    Path("log.csv").write_text(log("").replace(",who,", ",by,"))
    old = ran(ROOT, "-m", "thermlog", "inspect", "log.csv").stdout
    assert "van 7" in new
    assert "not used" not in new
    same = [re.sub(r"input [0-9a-f]+|qx", "", text).replace("who", "by") for text in (new, old)]
    assert same[0] == same[1]


def test_a_new_word_is_on_the_page_of_columns(with_word):
    done = ran(with_word, "-c", f"import sys; sys.path.append({str(ROOT / 'tests')!r})\n"
               "from troubles import column_table; print(column_table())")  # fmt: skip
    assert all(f"| qx{role}, " in done.stdout for role in HEADINGS), done.stderr


# the declaration


def test_every_column_is_declared_once_and_has_words():
    roles = [column.role for column in COLUMNS]
    assert len(set(roles)) == len(roles)
    assert set(HEADINGS) == set(roles)


def test_no_word_names_two_columns():
    assert len(ROLES) == sum(len(words.split("|")) for words in HEADINGS.values())


def test_the_table_of_readings_holds_what_is_declared():
    kinds: dict[CellKind, type] = {"whole": np.int64, "figure": np.float64}
    nothing = stack_readings([])
    assert {field.name for field in STACKED} == set(Readings.__struct_fields__) - {"cases"}
    assert all(getattr(nothing, field.name).dtype == kinds[field.kind] for field in STACKED)


def test_a_frame_has_what_is_handed_out_in_its_order_and_type():
    frame = stack_readings([]).frame()
    assert {name: str(kind) for name, kind in frame.dtypes.items()} == {
        field.name: FRAME_TYPES[field.written] for field in HANDED_OUT
    }
    assert [field.place for field in HANDED_OUT] == list(range(1, len(HANDED_OUT) + 1))
    assert len({field.name for field in FIELDS}) == len(FIELDS)

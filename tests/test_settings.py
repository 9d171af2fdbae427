"""Settings are gathered once; after that nothing that lies around changes a verdict."""

import ast
import re
from pathlib import Path

import pytest
from msgspec.json import encode
from msgspec.structs import replace

import thermlog as package
from thermlog.correcting.surfaces import usual_surfaces
from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run
from thermlog.pipeline.settings import gather_settings
from thermlog.reports.report_json import check_text
from thermlog.words.errors import PolicyError

SAMPLES = Path(__file__).parent.parent / "sample_logs"
LOG = str(SAMPLES / "van_front_left_hot.csv")
BUNDLED_SURFACES = Path(package.__file__).parent / "correcting" / "surfaces.toml"
GUN = """schema = "thermlog-gun-1"
emissivity_setting = 0.95
[check]
ice_degc = 1.2
boiling_degc = 97.0
altitude_m = 100.0
"""


def told(settings: Settings) -> str:
    return check_text(list(run([LOG], settings).findings(explain=True)), as_list=True)


def test_nothing_that_lies_around_changes_a_run(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    settings = gather_settings()
    before = told(settings)
    monkeypatch.setenv("THERMLOG_POLICY", "heavy")
    Path("thermlog.toml").write_text('policy = "heavy"', encoding="utf-8")

    assert told(settings) == before
    assert told(gather_settings()) != before  # it would have


def test_only_the_settings_look_around():
    """Environment and folder are read in one module; the command line sets one variable of numpy's."""
    looks = re.compile(r"\benviron\b(?!\|)|getenv|getcwd|\bcwd\(|Path\.home|expanduser")
    root = Path(package.__file__).parent
    found = {
        file.relative_to(root).as_posix()
        for file in root.rglob("*.py")
        if any(looks.search(line) for line in file.read_text(encoding="utf-8").splitlines())
    }
    assert found == {"pipeline/settings.py", "cli/__init__.py"}


def test_no_map_is_keyed_by_where_a_thing_lies_in_memory():
    root = Path(package.__file__).parent
    for file in root.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            called = node.func if isinstance(node, ast.Call) else None
            assert not (isinstance(called, ast.Name) and called.id == "id"), file.name


def test_checked_gun_needs_water_in_the_table(tmp_path):
    gun, table = tmp_path / "gun.toml", tmp_path / "mine.toml"
    gun.write_text(GUN, encoding="utf-8")
    text = BUNDLED_SURFACES.read_text(encoding="utf-8")
    table.write_text(text.replace("[surface.water]", "[surface.pond]"), encoding="utf-8")

    assert gather_settings(surfaces=str(table)).gun.check is None
    with pytest.raises(PolicyError, match=r'mine\.toml: no surface "water", which the check of .*gun'):
        gather_settings(gun=str(gun), surfaces=str(table))


def test_water_of_a_table_of_ones_own_acts_wherever_water_counts(tmp_path):
    """The line of a checked gun, and what is predicted of further readings, follow the same table."""
    gun = tmp_path / "gun.toml"
    gun.write_text(GUN, encoding="utf-8")
    usual = gather_settings(gun=str(gun))
    dull = usual_surfaces()
    water = replace(dull.surfaces["water"], emissivity=0.80)
    other = replace(usual, catalogue=replace(dull, surfaces={**dull.surfaces, "water": water}))

    first, second = (next(run([LOG], one).findings(explain=True)) for one in (usual, other))
    assert encode(first.corners[0].at_common_degc) != encode(second.corners[0].at_common_degc)

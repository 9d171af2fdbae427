"""The depot file: refusals by name, how logs find their unit, and what then holds for them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from logs import DRAGGING_K, HEALTHY_K, log_text, write_log

from thermlog.pipeline.run import run
from thermlog.pipeline.settings import gather_settings
from thermlog.reading.depotfile import load_depot
from thermlog.words.errors import DepotError, PolicyError

HERE = Path()
DEPOT = """
schema = "thermlog-depot-1"
name = "north yard"
[classes.lorry]
weight_class = "heavy"
ambient_degc = 11.0
[classes.lorry.positions]
"VA li" = "1L"
[[units]]
id = "truck 104"
class = "lorry"
also = ["T-104"]
[[units]]
id = "van 7"
[[units]]
id = "12"
"""
VEHICLE = 'weight_class = "light"\n[[axles]]\nrole = "steer"\n[[axles]]\nrole = "axle"\n'


def depot(text: str = DEPOT) -> str:
    Path("depot.toml").write_text(text, encoding="utf-8")
    return "depot.toml"


def judged(*paths: str, **how):
    return list(run(list(paths), gather_settings(depot=depot(how.pop("text", DEPOT)), **how)).findings())


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('id = "van 7"', 'id = "van 7"\nclas = 1', 'unit 2]: clas is 1: no such key; did you mean "class"?'),
        ('class = "lorry"', 'class = "bus"', "class is 'bus'; there is no [classes.bus]; write one of lorry"),
        ('"VA li" = "1L"', '"VA li" = "nowhere"', "VA li is 'nowhere'; write a wheel by axle and side"),
        ("ambient_degc = 11.0", "ambient_degc = 64.0", "ambient_degc is 64.0; a number from -40 to 50"),
        ('id = "van 7"', 'id = "t 104"', 'units "truck 104" and "t 104" are both called "t 104"'),
        ('id = "van 7"', 'id = "--"', 'the name "--" has neither letter nor digit'),
        ('id = "van 7"', "", '"id" is missing'),
        ('schema = "thermlog-depot-1"', 'schema = "2"', 'schema is \'2\'; write "thermlog-depot-1"'),
        ('weight_class = "heavy"', 'weight_class = "huge"', 'write one of "light", "heavy"'),
        ('name = "north yard"', 'name = "north', "not a TOML file"),
    ],
)  # fmt: skip
def test_a_depot_file_is_refused_by_place_value_and_cure(old, new, said):
    assert old in DEPOT
    with pytest.raises(DepotError) as refused:
        load_depot(depot(DEPOT.replace(old, new, 1)))
    assert said in str(refused.value)
    assert str(refused.value).startswith("depot.toml")
    assert refused.value.code == "depot"


def test_a_depot_without_units_and_a_missing_file_are_refused():
    with pytest.raises(DepotError, match="units"):
        load_depot(depot('name = "x"\n'))
    with pytest.raises(DepotError, match="name a depot file"):
        load_depot("gone.toml")


@pytest.mark.parametrize("key", ["vehicle", "policy", "gun"])
def test_a_file_that_a_unit_names_is_read_at_once_and_refused_with_the_unit(key):
    text = DEPOT.replace('id = "van 7"', f'id = "van 7"\n{key} = "gone.toml"')
    with pytest.raises(DepotError, match=r'depot.toml, unit "van 7": .*gone.toml'):
        gather_settings(depot=depot(text))


@pytest.mark.parametrize(
    ("path", "unit"),
    [
        ("yard/truck_104_friday.csv", "truck 104"),
        ("yard/T104.csv", "truck 104"),
        ("van 7/friday.csv", "van 7"),
        ("van 7/truck-104.csv", "truck 104"),  # the file before its folder
        ("van 7 truck 104.csv", None),  # two units
        ("van 77.csv", None),
        ("2026-03-12.csv", None),  # a date is no unit 12
        ("12.csv", "12"),
        ("12/friday.csv", "12"),
        ("friday.csv", None),
    ],
)
def test_a_file_finds_its_unit_by_whole_names_alone(path, unit):
    found = load_depot(depot()).in_path(path)
    assert (found and found[0].id) == unit


def test_the_longer_of_two_names_within_each_other_counts():
    text = DEPOT + '[[units]]\nid = "van 7 b"\n'
    found = load_depot(depot(text)).in_path("van_7_b.csv")
    assert found is not None
    assert found[0].id == "van 7 b"


def test_what_a_log_states_comes_before_the_name_of_its_file_and_differences_are_noted():
    (told,) = judged(write_log(HERE, "van 7.csv", HEALTHY_K, vehicle="Truck-104"))
    assert told.vehicle == "truck 104"
    assert '"Truck-104" is unit "truck 104" of the depot' in told.log.notes
    text = log_text(HEALTHY_K).replace("# vehicle: van 7\n", "")
    Path("T104.csv").write_text(text, encoding="utf-8")
    (told,) = judged("T104.csv")
    assert told.vehicle == "truck 104"
    assert 'taken as unit "truck 104" of the depot by the name of the file' in told.log.notes


def test_a_log_of_no_unit_is_judged_as_without_the_file():
    path = write_log(HERE, "a.csv", DRAGGING_K, vehicle="guest")
    assert judged(path) == list(run([path], gather_settings()).findings())


def test_class_policy_and_weight_hold_for_a_unit_and_not_for_others():
    truck = write_log(HERE, "a.csv", HEALTHY_K, vehicle="truck 104")
    van = write_log(HERE, "b.csv", {k: v + 1 for k, v in HEALTHY_K.items()}, vehicle="van 7")
    assert [told.policy.name for told in judged(truck, van)] == ["heavy", "light"]
    assert [told.policy.name for told in judged(van, truck, policy="light")] == ["light", "light"]


def test_a_vehicle_file_of_a_unit_replaces_and_an_axle_too_many_is_refused_by_log():
    Path("two.toml").write_text(VEHICLE, encoding="utf-8")
    text = DEPOT.replace('id = "van 7"', 'id = "van 7"\nvehicle = "two.toml"')
    good = write_log(HERE, "a.csv", HEALTHY_K)
    more = write_log(HERE, "b.csv", {**HEALTHY_K, "3L": 50.0, "3R": 50.0})
    done = run([good, more], gather_settings(depot=depot(text)))
    (told,) = done.findings()
    assert told.description.stated
    assert [file for file, _ in done.read.refused] == ["b.csv"]


def test_the_air_of_a_unit_fills_in_only_where_the_log_states_none():
    stated = write_log(HERE, "a.csv", HEALTHY_K, vehicle="truck 104")
    text = Path(stated).read_text(encoding="utf-8").replace("# ambient: 18 C\n", "")
    Path("b.csv").write_text(text, encoding="utf-8")
    first, second = judged("a.csv", "b.csv")
    assert (first.ambient_degc, first.ambient_source) == (18.0, "log")
    assert (second.ambient_degc, second.ambient_source) == (11.0, "assumed")


def test_words_of_a_unit_are_read_even_where_a_log_is_refused_without_them():
    text = log_text(HEALTHY_K, vehicle="truck 104")
    Path("a.csv").write_text(text.replace("1L,", "VA li,"), encoding="utf-8")
    only = "\n".join(line for line in text.splitlines() if not line.startswith(("1R", "2L", "2R"))) + "\n"
    Path("b.csv").write_text(only.replace("1L,", "VA li,"), encoding="utf-8")
    assert run(["b.csv"], gather_settings()).read.refused  # as it stands no wheel is known
    for path in ("a.csv", "b.csv"):
        (told,) = judged(path)
        assert told.corner("1L") is not None
        assert told.log.set_aside == ()


def test_words_of_a_unit_reach_a_log_on_standard_input(monkeypatch):
    text = log_text(HEALTHY_K, vehicle="truck 104").replace("1L,", "VA li,")
    for number, only in enumerate((text, "\n".join(text.split("1R,")[0].splitlines()) + "\n")):
        Path(f"{number}.csv").write_text(only, encoding="utf-8")
        with Path(f"{number}.csv").open(encoding="utf-8") as log:
            monkeypatch.setattr("sys.stdin", log)
            (told,) = judged("-")
        assert told.corner("1L") is not None
        assert told.log.set_aside == ()


def test_a_log_of_two_units_gives_each_its_own():
    one, other = (log_text(HEALTHY_K, vehicle=name).splitlines() for name in ("truck 104", "van 7"))
    rows = [f"truck 104,{line}" for line in one[4:]] + [f"van 7,{line}" for line in other[4:]]
    Path("a.csv").write_text("# ambient: 18 C\nvehicle,corner,since_parked_s,temp_c\n" + "\n".join(rows))
    told = judged("a.csv")
    assert [(one.vehicle, one.policy.name) for one in told] == [("truck 104", "heavy"), ("van 7", "light")]


def test_order_of_units_in_a_run_is_that_of_the_logs(thermlog):
    names = ["truck 104", "van 7", "guest", "truck 104", "van 7"]
    for number, name in enumerate(names):
        write_log(HERE, f"{number}.csv", {k: v + number for k, v in HEALTHY_K.items()}, vehicle=name)
    ran = thermlog("fleet", *(f"{n}.csv" for n in range(5)), "--depot", depot(), "--format", "json")
    logs = json.loads(ran.out)["logs"]
    assert [one["vehicle"] for one in logs] == names
    assert [one["policy"]["name"] for one in logs] == ["heavy", "light", "light", "heavy", "light"]
    ran = thermlog("check", "0.csv", "1.csv", "--depot", depot(), "--explain", "--chart", "c.png")
    assert ran.out.index("truck 104 |") < ran.out.index("van 7 |")
    assert "policy heavy" in ran.out.split("=====")[0]


def test_skins_are_learned_over_all_units(thermlog):
    for number in range(64):
        rises = {k: v * (1 + 0.001 * number) for k, v in HEALTHY_K.items()}
        write_log(HERE, f"d/{number}.csv", rises, vehicle="truck 104" if number % 2 else "van 7")
    ran = thermlog("fleet", "d", "--depot", depot())
    assert "learned from 64 of these logs" in ran.out


@pytest.mark.parametrize(
    ("asked", "names"),
    [
        (["light=own.toml"], ["heavy", "mine"]),
        (["heavy=own.toml", "light=light"], ["mine", "light"]),
        (["own.toml"], ["mine", "mine"]),
    ],
)
def test_vehicles_of_each_weight_have_a_policy_each(asked, names):
    Path("own.toml").write_text('name = "mine"\nbase = "light"\n', encoding="utf-8")
    heavy = write_log(HERE, "a.csv", {**HEALTHY_K, "3L": 60.0, "3R": 61.0})
    light = write_log(HERE, "b.csv", HEALTHY_K)
    found = run([heavy, light], gather_settings(policy=asked)).findings()
    assert [told.policy.name for told in found] == names


@pytest.mark.parametrize("asked", [["light", "heavy"], ["light=a", "light=b"], ["light", "heavy=b"]])
def test_two_policies_for_the_same_vehicles_are_refused(asked):
    with pytest.raises(PolicyError, match="name one for all, or light="):
        gather_settings(policy=asked)


def test_the_depot_file_is_never_replaced_by_a_result(thermlog):
    path = depot()
    write_log(HERE, "a.csv", HEALTHY_K)
    ran = thermlog("fleet", "a.csv", "--depot", path, "-o", path, "--force")
    assert ran.code == 3
    assert Path(path).read_text(encoding="utf-8") == DEPOT

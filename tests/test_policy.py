"""Policy files: every number with unit and source, who names one, every refusal, and what the hash covers."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path

import pytest
from judgecases import USUAL, VAN_K, told, walked

import thermlog as thermlog_package
from thermlog.judging.settings import Settings
from thermlog.pipeline.settings import gather_settings, named_policy
from thermlog.words.errors import EXIT_REFUSED, PolicyError
from thermlog.words.policy import BUNDLED, NUMBERS, load_policy, policy_sources, policy_unit, usual_limits

FOLDER = Path(__file__).parent.parent / "thermlog" / "words" / "policies"
ONE = '{key} = {{ value = {value}, unit = "{unit}", source = "our own rig" }}\n'


def number(key: str, value: object, unit: str | None = None) -> str:
    return ONE.format(key=key, value=value, unit=policy_unit(key) if unit is None else unit)


def based(*lines: str) -> str:
    return 'base = "light"\n' + "".join(lines)


@pytest.fixture
def own(tmp_path):
    """Write a policy file of one's own and return its path."""

    def write(text: str, name: str = "mine.toml") -> str:
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
        return str(file)

    return write


@pytest.fixture
def alone(tmp_path, monkeypatch):
    """A folder and a home without any setting."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("THERMLOG_POLICY", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "home"))
    return tmp_path


# bundled files


@pytest.mark.parametrize("name", BUNDLED)
def test_every_bundled_number_has_its_unit_and_a_source(name):
    stated = policy_sources(name)
    assert set(stated) == set(NUMBERS)
    labels = ("common practice, no source", "from memory, not checked", "docs/")
    for key, (value, unit, source, _) in stated.items():
        assert value == getattr(load_policy(name), key)
        assert unit == policy_unit(key)
        assert any(label in source for label in labels), (key, source)


@pytest.mark.parametrize("name", BUNDLED)
def test_pages_named_as_source_are_in_the_docs(name):
    pages = {source.split(";")[0].split(":")[0] for _, _, source, _ in policy_sources(name).values()}
    named = {page for page in pages if page.startswith("docs/")}
    assert "docs/tau-priors.md" in named
    assert all(page.endswith(".md") for page in named)


@pytest.mark.parametrize("name", BUNDLED)
def test_marks_stand_in_order(name):
    policy = load_policy(name)
    assert 1 < policy.watch_ratio < policy.suspect_ratio < policy.strong_ratio
    assert 0 < policy.watch_difference_k < policy.suspect_difference_k <= policy.strong_difference_k
    assert policy.hub_over_mate_k < policy.hub_stop_k
    assert 0 < policy.gap_probability < policy.doubt_probability < policy.drag_call_probability < 1
    assert policy.drag_call_probability < policy.idle_call_probability <= policy.side_probability < 1
    assert 0 < policy.heat_watch_probability < policy.heat_call_probability < 1
    assert 0 < policy.like_axle_spread < policy.unlike_axle_spread < policy.unsaid_axle_spread
    assert 0 <= policy.skins_even_part < 1 < policy.skins_unlike_part
    assert 0 < policy.drag_least_k < policy.hidden_drag_k < policy.drag_most_k
    assert policy.drag_least_part < policy.hidden_drag_part
    assert (
        1 - policy.cold_remaining_most < policy.hidden_loss_share < 1
    )  # more is lost than any idle brake keeps
    assert policy.coast_heat_median_k < policy.heat_median_k
    assert policy.cold_remaining_most <= 1
    assert policy.lowest_reading_degc < policy.highest_reading_degc


@pytest.mark.parametrize("name", BUNDLED)
def test_hash_of_a_bundled_policy_is_that_of_its_file(name):
    assert load_policy(name).sha256 == hashlib.sha256((FOLDER / f"{name}.toml").read_bytes()).hexdigest()
    assert load_policy(name).name == name


def test_units_follow_from_the_name():
    assert [policy_unit(key) for key in ("a_s", "a_k", "a_degc", "a_spread", "a_ratio")] == [
        "s",
        "K",
        "degC",
        "ln",
        "1",
    ]


# a file of one's own


def test_own_file_on_a_base_changes_only_what_it_states(own):
    mine, light = load_policy(own(based(number("watch_ratio", 1.4)))), load_policy("light")
    assert mine.watch_ratio == 1.4
    assert mine.name == "mine"
    unlike = {key for key in NUMBERS if getattr(mine, key) != getattr(light, key)}
    assert unlike == {"watch_ratio"}


def test_base_is_the_one_named(own):
    assert load_policy(own('base = "heavy"\n')).tau_drum_s == load_policy("heavy").tau_drum_s
    assert load_policy("heavy").tau_drum_s != load_policy("light").tau_drum_s


def test_whole_own_file_needs_no_base(own):
    text = (FOLDER / "light.toml").read_text(encoding="utf-8").replace('name = "light"', 'name = "depot 4"')
    mine = load_policy(own(text))
    assert mine.name == "depot 4"
    assert all(getattr(mine, key) == getattr(load_policy("light"), key) for key in NUMBERS)


def test_whole_numbers_are_numbers_too(own):
    assert load_policy(own(based(number("strong_ratio", 2)))).strong_ratio == 2.0


def test_limits_that_are_allowed(own):
    text = based(number("miss_share", 0), number("fault_share", 1), number("front_share", 3.0))
    mine = load_policy(own(text + number("lowest_reading_degc", -90)))
    assert (mine.miss_share, mine.fault_share, mine.front_share, mine.lowest_reading_degc) == (0, 1, 3, -90)


def test_hash_covers_file_and_base(own):
    text = based(number("watch_ratio", 1.4))
    wanted = hashlib.sha256(text.encode() + (FOLDER / "light.toml").read_bytes()).hexdigest()
    first = load_policy(own(text))
    assert first.sha256 == wanted
    assert load_policy(own(text.replace("1.4", "1.45"))).sha256 != first.sha256
    assert load_policy(own(text.replace("light", "heavy"))).sha256 != first.sha256


# refusals

LIGHT = (FOLDER / "light.toml").read_text(encoding="utf-8")
LINE = next(line for line in LIGHT.splitlines() if line.startswith("watch_ratio"))

REFUSED = {
    "not TOML": ("watch_ratio = = 3", "not a TOML file"),
    "other schema": (based('schema = "thermlog-policy-9"'), "thermlog-policy-1"),
    "unknown base": ('base = "bus"', 'base "bus" is not a bundled policy; use one of light, heavy'),
    "missing number": (
        LIGHT.replace(LINE, ""),
        "missing watch_ratio; add them, or begin the file with base =",
    ),
    "unknown number": (based(number("watch_ratios", 2)), "nearest: watch_ratio"),
    "unknown, nothing near": (based(number("zzzz", 2)), "nearest: none"),
    "no table": (based("watch_ratio = 1.4"), "watch_ratio needs { value = ..., unit = ..., source = ... }"),
    "key too many": (based(number("watch_ratio", '1.4, note = "x"')), "and nothing else"),
    "no source key": (based('watch_ratio = { value = 1.4, unit = "1" }'), "watch_ratio needs"),
    "empty source": (based(number("watch_ratio", 1.4).replace("our own rig", "  ")), "has no source"),
    "text": (based(number("watch_ratio", '"1.4"')), "'1.4'; a plain number is needed"),
    "boolean": (based(number("watch_ratio", "true")), "True; a plain number is needed"),
    "not a number": (based(number("watch_ratio", "nan")), "nan; a plain number is needed"),
    "infinite": (based(number("watch_ratio", "inf")), "inf; a plain number is needed"),
    "wrong unit": (based(number("watch_difference_k", 27, "F")), 'is stated in "F"; it must be in "K"'),
    "below zero": (based(number("watch_ratio", -1.4)), "watch_ratio is -1.4; it cannot be below zero"),
    "share above 1": (based(number("fault_share", 1.1)), "fault_share is 1.1; it cannot be above 1"),
    "probability above 1": (based(number("doubt_probability", 50)), "it cannot be above 1"),
    "tau of zero": (based(number("tau_disc_s", 0)), "tau_disc_s is zero; it must be above zero"),
    "spread of zero": (based(number("like_axle_spread", 0.0)), "like_axle_spread is zero"),
    "heat of zero": (based(number("heat_median_k", 0)), "heat_median_k is zero"),
    "lowest above highest": (
        based(number("lowest_reading_degc", 1200)),
        "lowest_reading_degc is 1200; it must lie below highest_reading_degc, 1000",
    ),
    "what the gun file states": (
        based(number("gun_repeatability_k", 0.5)),
        '"gun_repeatability_k" is no policy number any more; state it as repeatability_k of a gun file',
    ),
    "what decided nothing": (based(number("cold_fraction", 0.6)), "take the line out"),
    "steer share of zero": (based(number("front_share", 0)), "front_share is zero"),
}


@pytest.mark.parametrize("fault", REFUSED)
def test_refusals_name_the_file_and_the_cure(own, fault):
    text, said = REFUSED[fault]
    file = own(text)
    with pytest.raises(PolicyError) as refusal:
        load_policy(file)
    assert str(refusal.value).startswith(f"{file}: ")
    assert said in str(refusal.value)
    assert refusal.value.exit_code == EXIT_REFUSED


@pytest.mark.parametrize("name", ["lihgt", "."])
@pytest.mark.usefixtures("alone")
def test_what_cannot_be_opened_is_refused_with_the_names_that_can(name):
    with pytest.raises(
        PolicyError, match=r"; name a bundled policy \(light, heavy\) or a TOML file"
    ) as refusal:
        load_policy(name)
    assert str(refusal.value).startswith(f"{name}: ")


def test_bytes_that_are_no_text_are_refused(tmp_path):
    file = tmp_path / "mine.toml"
    file.write_bytes(b"base = \xff\xfe")
    with pytest.raises(PolicyError, match="not a TOML file"):
        load_policy(str(file))


# the part the reader goes by


def test_bundled_policies_limit_the_reader_alike():
    """A log is read before its vehicle, and so its bundled policy, is known."""
    assert {load_policy(name).limits for name in BUNDLED} == {usual_limits()}


@pytest.mark.usefixtures("alone")
def test_limits_are_those_of_the_policy_asked_for(own, monkeypatch):
    mine = own(based(number("slowest_lap_s", 600)))
    assert gather_settings().reading.limits == usual_limits()
    assert gather_settings(policy=mine).reading.limits.slowest_lap_s == 600.0
    monkeypatch.setenv("THERMLOG_POLICY", mine)
    assert gather_settings().reading.limits.slowest_lap_s == 600.0
    assert gather_settings(policy="heavy").reading.limits == usual_limits()


@pytest.mark.parametrize("command", ["check", "inspect", "fleet"])
def test_every_command_reads_by_the_limits_of_its_policy(thermlog, own, command):
    """74 °C is possible, unless a policy says that no reading lies above 60 °C."""
    Path("log.csv").write_text("time_s,corner,temp_c\n0,FL,50\n10,FR,51\n20,RL,40\n30,RR,74\n")
    cool = own(based(number("highest_reading_degc", 60)))
    usual, limited = (
        thermlog(command, "log.csv", "--format", "json", *policy) for policy in ((), ("--policy", cool))
    )
    assert "outside -60 to 60" not in usual.out
    assert "outside -60 to 60" in limited.out


@pytest.mark.usefixtures("unset")
def test_the_python_interface_reads_by_the_limits_of_its_policy(own):
    Path("log.csv").write_text("time_s,corner,temp_c\n0,FL,50\n10,FR,51\n20,RL,40\n30,RR,74\n")
    cool = own(based(number("highest_reading_degc", 60)))
    assert len(thermlog_package.read_logs("log.csv")) == 4
    assert len(thermlog_package.read_logs("log.csv", policy=Path(cool))) == 3
    assert thermlog_package.diagnose("log.csv", policy=cool)["readings"].sum() == 3


# who names the policy


@pytest.mark.usefixtures("alone")
def test_nobody_names_a_policy():
    assert named_policy(None) == (None, None)


def test_option_before_environment_before_config(alone, monkeypatch):
    (alone / "thermlog.toml").write_text('policy = "heavy"')
    assert named_policy(None)[0] == "heavy"
    monkeypatch.setenv("THERMLOG_POLICY", "from-environment.toml")
    assert named_policy(None)[0] == "from-environment.toml"
    assert named_policy("light")[0] == "light"


def test_config_beside_the_work_before_the_one_at_home(alone):
    home = alone / "home" / "thermlog"
    home.mkdir(parents=True)
    (home / "config.toml").write_text('policy = "light"')
    assert named_policy(None)[0] == "light"
    (alone / "thermlog.toml").write_text('policy = "heavy"')
    assert named_policy(None)[0] == "heavy"
    (alone / "thermlog.toml").write_text('other = "x"')
    assert named_policy(None)[0] == "light"


def test_home_is_the_usual_folder_unless_stated(alone, monkeypatch):
    monkeypatch.delenv("XDG_CONFIG_HOME")
    monkeypatch.setenv("HOME", str(alone))
    (alone / ".config" / "thermlog").mkdir(parents=True)
    (alone / ".config" / "thermlog" / "config.toml").write_text('policy = "heavy"')
    assert named_policy(None)[0] == "heavy"


def test_config_names_a_file_beside_itself(alone, own):
    file = own('base = "light"\n', "home/thermlog/depot.toml")
    (alone / "home" / "thermlog" / "config.toml").write_text('policy = "depot.toml"')
    assert named_policy(None)[0] == file
    (alone / "home" / "thermlog" / "config.toml").write_text('policy = "absent.toml"')
    assert named_policy(None)[0] == "absent.toml"


def test_bundled_name_in_a_config_is_never_a_file(alone):
    home = alone / "home" / "thermlog"
    home.mkdir(parents=True)
    (home / "light").write_text("not a policy")
    (home / "config.toml").write_text('policy = "light"')
    assert named_policy(None)[0] == "light"


@pytest.mark.parametrize(
    ("text", "said"),
    [("policy = = 1", "not a TOML file"), ("policy = 5", "policy is 5; name light or heavy or a file")],
)
def test_config_that_means_nothing_is_refused(alone, text, said):
    (alone / "thermlog.toml").write_text(text)
    with pytest.raises(PolicyError, match=f"^thermlog.toml: {said}"):
        named_policy(None)


def test_config_that_cannot_be_opened_is_refused(alone, monkeypatch):
    (alone / "thermlog.toml").write_text('policy = "light"')

    def locked(_: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", locked)
    with pytest.raises(PolicyError, match=r"^thermlog.toml: Permission denied"):
        named_policy(None)


# what a policy does


@pytest.mark.usefixtures("alone")
def test_policy_decides_the_verdict_and_is_marked_on_it(own):
    pull = walked(VAN_K | {"2L": 150.0}, USUAL)
    usual = told(pull, Settings(policy=load_policy("light")))
    marks = {"watch_ratio": 3.5, "suspect_ratio": 4.0, "strong_ratio": 5.0}
    marks |= {"doubt_probability": 0.999, "drag_call_probability": 0.9999}
    lenient = own(based(*(number(mark, value) for mark, value in marks.items())))
    relaxed = told(pull, Settings(policy=load_policy(lenient)))
    assert [axle.verdict for axle in usual.axles] == ["even", "hot"]
    assert relaxed.axles[1].verdict != "hot"
    assert (usual.answers.drag.answer, relaxed.answers.drag.answer) == (
        "yes",
        "cannot_tell",
    )  # nothing would show
    assert relaxed.policy.name == "mine"
    assert relaxed.policy.sha256 == load_policy(lenient).sha256 != usual.policy.sha256
    assert relaxed.policy_note == "as named"


def test_bundled_files_are_plain_toml_of_this_schema():
    for name in BUNDLED:
        table = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
        assert table["schema"] == "thermlog-policy-1"
        assert table["name"] == name

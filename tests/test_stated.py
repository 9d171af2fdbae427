"""What was stated about a log goes on: in the command that a check prints, and in the record of a job."""

from __future__ import annotations

import json
import shlex
import shutil
import subprocess
from pathlib import Path

import pytest
from advicecases import log_evidence

from thermlog.advice.narrowing import Found, narrow
from thermlog.cli.check import check as check_cli
from thermlog.cli.given import StatedOption
from thermlog.cli.narrow import narrow as narrow_cli
from thermlog.followup.jobrecord import known_job
from thermlog.pages.job import job_page
from thermlog.words.shelltext import narrow_command

SAMPLES = Path(__file__).parent.parent / "sample_logs"
SAMPLE = str(SAMPLES / "van_front_left_hot.csv")
VAN = str(SAMPLES / "van.toml")
STOP = "FINDING   !! STOP DRIVING: smoke seen at front right"


def printed(ran) -> list[str]:
    """Commands that start the search, as printed."""
    lead = "  At the wheel, one check after another: "
    return [line.removeprefix(lead) for line in ran.out.splitlines() if line.startswith(lead)]


@pytest.mark.parametrize(
    "given",
    [
        [],
        ["--seen", "smoke at RF"],
        ["--seen", "smoke at RF", "--seen", "smell"],
        ["--ambient", "-5", "--override", "ambient"],
        ["--vehicle", VAN, "--ambient-sigma", "3"],
        ["--surface", "hat=0.8", "--surface", "1L.hat=red_rust", "--law", "power"],
        ["--policy", "light=light", "--policy", "heavy=heavy"],
        ["--gun", "my gun.toml"],
        ["--vehicle-name", "the driver's van; rm $HOME"],
    ],
)
def test_the_printed_command_gives_the_verdict_of_the_check(given, thermlog):
    """Typed back word for word: a finding of the same text, and no word more than was given."""
    Path("my gun.toml").write_text("accuracy_k = 3.0\n", encoding="utf-8")
    ran = thermlog("check", SAMPLE, *given)
    (command,) = printed(ran)
    words = shlex.split(command)
    assert sorted(words) == sorted(["thermlog", "narrow", SAMPLE, *given])
    again = thermlog(*words[1:])
    assert again.finding == ran.finding
    assert again.code == ran.code


def test_options_at_their_default_are_not_repeated(thermlog):
    assert printed(thermlog("check", SAMPLE, "--law", "exponential")) == [f"thermlog narrow {SAMPLE}"]


@pytest.mark.parametrize(
    "name", ["van 1.csv", "it's.csv", "-x.csv", "--seen.csv", "$(id).csv", "n\n\x1b[2J.csv"]
)
def test_the_printed_command_can_be_pasted_whatever_the_log_is_called(name, thermlog):
    shutil.copy(SAMPLE, name)
    (command,) = printed(thermlog("check", "--", name))
    assert command.isprintable()
    said = subprocess.run(
        ["/bin/bash", "-c", f'thermlog() {{ printf "%s\\0" "$@"; }}; {command}'],
        capture_output=True,
        check=True,
    )
    words = said.stdout.decode().split("\0")[:-1]
    assert Path(words[-1]).samefile(name)
    assert thermlog(*words).code == 1


def test_a_name_that_is_no_text_is_printed_as_its_bytes():
    assert narrow_command("v\udcff.csv") == "thermlog narrow $'v\\xff.csv'"


def test_of_several_drives_each_names_itself(thermlog):
    ran = thermlog("check", str(SAMPLES / "van_two_drives.csv"), SAMPLE)
    commands = printed(ran)
    assert [shlex.split(one)[3:] for one in commands] == [["--case", "1"], ["--case", "2"], []]
    for command in commands:
        assert thermlog(*shlex.split(command)[1:]).code == 1


def test_a_log_of_standard_input_has_to_be_kept_first(thermlog, monkeypatch):
    with Path(SAMPLE).open(encoding="utf-8") as log:
        monkeypatch.setattr("sys.stdin", log)
        (command,) = printed(thermlog("check", "-"))
    assert command == "keep this log in a file, then thermlog narrow LOG"


def test_whatever_a_check_and_a_search_both_take_and_judges_is_kept():
    """No option of reading or judging can be added without being carried along."""
    beside = {"output_format", "show", "output", "force", "quiet", "exit_zero", "report"}
    shared = {one.name for one in check_cli.params} & {one.name for one in narrow_cli.params} - beside
    kept = {one.name for one in narrow_cli.params if isinstance(one, StatedOption)}
    assert shared <= kept


def test_not_yet_keeps_the_gate_by_itself():
    """Whatever the log at hand says: who answered that it is hot is asked that and nothing else."""
    evidence = log_evidence("corner_hot", "1L")
    state = narrow(evidence, [Found(check="clear_and_wait", answer="not_yet")])
    assert (state.check.id, state.ending, state.suspects) == ("clear_and_wait", "wait", ())
    later = narrow(evidence, [Found(check="clear_and_wait", answer=one) for one in ("not_yet", "cooled")])
    assert later.check.id != "clear_and_wait"


def record() -> dict:
    return json.loads(Path("card.json").read_text(encoding="utf-8"))


def answers() -> list[str]:
    return [f"{one['check']}={one['answer']}" for one in record()["answers"]]


def test_a_job_that_goes_on_keeps_stop(thermlog):
    """Smoke was seen, it has not cooled: opened again without a word, nothing else is asked."""
    seen = ("--seen", "smoke at RF", "--found", "clear_and_wait=not_yet")
    first = thermlog("narrow", SAMPLE, "--job", "card.json", *seen)
    for _ in range(2):
        again = thermlog("narrow", SAMPLE, "--job", "card.json")
        assert again.finding.startswith(STOP)
        assert again.out == first.out
        assert "goes on with --seen 'smoke at RF'" in again.err


@pytest.mark.parametrize(
    "given",
    [
        ["--vehicle", VAN],
        ["--ambient", "12", "--override", "ambient"],
        ["--surface", "hat=0.6"],
        ["--policy", "heavy"],
        ["--law", "power"],
        ["--vehicle-name", "van 7"],
        ["--seen", "smoke at RF"],
    ],
)
def test_what_was_stated_holds_when_a_job_goes_on(given, thermlog):
    first = thermlog("narrow", SAMPLE, "--job", "card.json", *given)
    kept = record()["stated"]
    again = thermlog("narrow", SAMPLE, "--job", "card.json")
    assert again.out == first.out
    assert record()["stated"] == kept
    assert sorted([f"--{name.replace('_', '-')}", *texts] for name, texts in kept.items()) == sorted(
        list(pair) for pair in zip(given[::2], given[1::2], strict=True)
    )


def test_what_is_stated_anew_counts_and_is_said(thermlog):
    thermlog("narrow", SAMPLE, "--job", "card.json", "--law", "power", "--policy", "light")
    ran = thermlog("narrow", SAMPLE, "--job", "card.json", "--law", "exponential", "--policy", "heavy")
    assert "--law exponential takes the place of --law power" in ran.err
    assert "--policy heavy takes the place of --policy light" in ran.err
    assert record()["stated"] == {"policy": ["heavy"]}
    assert ran.out == thermlog("narrow", SAMPLE, "--policy", "heavy").out


def test_what_was_seen_stays_seen_and_more_of_it_asks_anew_whether_it_cooled(thermlog):
    cooled = ("--found", "clear_and_wait=cooled")
    thermlog("narrow", SAMPLE, "--job", "card.json", "--seen", "smoke at RF", *cooled)
    assert answers() == ["clear_and_wait=cooled"]
    ran = thermlog("narrow", SAMPLE, "--job", "card.json", "--seen", "flame at RF")
    assert "comes beside --seen 'smoke at RF'" in ran.err
    assert "something else was seen since clear_and_wait=cooled; asked anew" in ran.err
    assert answers() == []
    assert "NEXT      Nobody goes near (flame seen)" in ran.out
    assert record()["stated"] == {"seen": ["smoke at RF", "flame at RF"]}


def test_a_job_of_one_of_several_drives_stays_with_it(thermlog):
    two = str(SAMPLES / "van_two_drives.csv")
    first = thermlog("narrow", two, "--job", "card.json", "--case", "coast")
    assert record()["stated"] == {"case": ["2"]}
    assert thermlog("narrow", two, "--job", "card.json").out == first.out
    before = Path("card.json").read_bytes()
    other = thermlog("narrow", two, "--job", "card.json", "--case", "1")
    assert (other.code, "of drive 2 of the log, not of 1" in other.err) == (3, True)
    assert Path("card.json").read_bytes() == before


@pytest.mark.parametrize(
    "stated", [{"nonsense": ["1"]}, {"ambient": []}, {"unit": ["C", "F"]}, {"ambient": ["warm"]}]
)
def test_a_record_that_states_nonsense_is_refused_by_name(stated, thermlog):
    thermlog("narrow", SAMPLE, "--job", "card.json")
    Path("card.json").write_text(json.dumps({**record(), "stated": stated}), encoding="utf-8")
    before = Path("card.json").read_bytes()
    ran = thermlog("narrow", SAMPLE, "--job", "card.json")
    assert (ran.code, "card.json: the record states" in ran.err) == (3, True)
    assert Path("card.json").read_bytes() == before


def test_a_record_of_an_earlier_state_states_nothing(thermlog):
    thermlog("narrow", SAMPLE, "--job", "card.json")
    old = record()
    del old["stated"]
    Path("card.json").write_text(json.dumps(old), encoding="utf-8")
    assert thermlog("narrow", SAMPLE, "--job", "card.json", "--seen", "smoke at RF").code == 1
    assert record()["stated"] == {"seen": ["smoke at RF"]}


def test_the_page_of_a_job_says_what_was_stated(thermlog):
    thermlog("narrow", SAMPLE, "--job", "card.json", "--seen", "smoke at RF")
    assert "<bdi>seen smoke at RF</bdi>" in job_page(known_job("card.json"))


def test_one_check_is_stored_not_one_checks(thermlog):
    assert "1 check stored" in thermlog("check", SAMPLE, "--history", "depot.db").err
    assert "0 checks stored, 1 stood there before" in thermlog("check", SAMPLE, "--history", "depot.db").err


def test_a_wheel_that_was_not_read_after_the_repair_has_no_gap_in_degrees(thermlog):
    after = (SAMPLES / "van_after_repair.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    Path("after.csv").write_text("".join(one for one in after if ",FR," not in one), encoding="utf-8")
    ran = thermlog("compare", str(SAMPLES / "van_before_repair.csv"), "after.csv")
    assert "- °C" not in ran.out
    assert "cannot be told now: a side was not read" in ran.out

"""Commands beside the main job: demo, policy, schema."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from thermlog.reports.contract.schemas import CONTRACTS
from thermlog.words.policy import load_policy, policy_sources


def test_demo_copies_samples_and_names_a_command_that_runs(thermlog):
    ran = thermlog("demo", "here")
    command = ran.out.splitlines()[-1].split()

    assert ran.code == 0
    assert command[:2] == ["thermlog", "check"]
    assert Path("here/README.md").is_file()
    assert thermlog(*command[1:]).code in {0, 1}


def test_demo_never_replaces_a_file_unasked(thermlog):
    thermlog("demo", "here")
    mine = Path("here/README.md")
    mine.write_text("mine")
    ran = thermlog("demo", "here")

    assert ran.code == 3
    assert "--force" in ran.err
    assert mine.read_text() == "mine"
    assert thermlog("demo", "here", "--force").code == 0
    assert mine.read_text() != "mine"


def test_demo_refuses_a_file_as_folder(thermlog):
    Path("here").write_text("")

    assert thermlog("demo", "here").code == 3


@pytest.mark.parametrize("name", ["light", "heavy"])
def test_policy_show_prints_every_number_with_unit_and_source(thermlog, name):
    ran = thermlog("policy", "show", name)

    assert f"sha256 {load_policy(name).sha256}" in ran.out
    for key, (value, unit, source, _) in policy_sources(name).items():
        line = next(line for line in ran.out.splitlines() if line.split()[:1] == [key])
        assert line.split()[1:3] == [f"{value:g}", unit]
        assert source in line


def test_policy_origin_tells_own_numbers_from_those_of_the_base(thermlog, monkeypatch):
    Path("mine.toml").write_text(
        'base = "light"\nname = "mine"\n'
        'suspect_ratio = { value = 1.7, unit = "1", source = "our own trials" }\n'
    )
    ran = thermlog("policy", "show", "mine.toml", "--origin")
    lines = {line.split()[0]: line for line in ran.out.splitlines() if line.strip()}

    assert "chosen on the command line" in ran.out
    assert lines["suspect_ratio"].endswith("our own trials [mine.toml]")
    assert lines["watch_ratio"].endswith("[light]")

    monkeypatch.setenv("THERMLOG_POLICY", "mine.toml")
    assert "chosen by the environment variable" in thermlog("policy", "show", "--origin").out


def test_policy_without_name_is_light_by_default_and_that_of_a_configuration_file(thermlog):
    assert "chosen by default" in thermlog("policy", "show", "--origin").out

    Path("thermlog.toml").write_text('policy = "heavy"\n')
    ran = thermlog("policy", "show", "--origin")
    assert "policy heavy" in ran.out
    assert "chosen by a configuration file" in ran.out


def test_unknown_policy_is_refused_in_one_line(thermlog):
    ran = thermlog("policy", "show", "nosuch")

    assert ran.code == 3
    assert len(ran.err.splitlines()) == 1


@pytest.mark.parametrize("contract", CONTRACTS)
def test_schema_prints_the_shipped_schema(thermlog, contract):
    assert json.loads(thermlog("schema", contract).out)["title"] == f"thermlog {contract}"

"""Fixtures that several test modules share."""

from __future__ import annotations

import signal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from browser import browser  # noqa: F401 - one browser for all tests of pages
from msgspec import Struct
from phones import here  # noqa: F401 - a server for phones

from thermlog.cli import run

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

GOLDEN = Path(__file__).parent / "golden"

if (
    signal.getsignal(signal.SIGINT) is signal.SIG_IGN
):  # in the background: what is started here is to hear Ctrl-C
    signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--update-golden", action="store_true", help="write golden files anew")


@pytest.fixture
def same_as_golden(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a text with the file of that name in tests/golden, or write it anew on demand."""

    def compare(name: str, text: str) -> None:
        file = GOLDEN / name
        if request.config.getoption("--update-golden"):
            file.write_text(text, encoding="utf-8")
        assert text == file.read_text(encoding="utf-8")

    return compare


@pytest.fixture(autouse=True)
def elsewhere(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Every test works in a folder of its own: what it writes by a bare name never lands in the checkout."""
    monkeypatch.chdir(tmp_path)


@pytest.fixture
def unset(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No policy from the environment or a config file."""
    monkeypatch.delenv("THERMLOG_POLICY", raising=False)
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path / "no-settings"))


@pytest.fixture(params=["file", "postgresql"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Address of a new, empty history: a file, and a server where one is given."""
    from historycases import address_of  # most tests keep none

    with address_of(request.param, tmp_path) as found:
        yield found


class Ran(Struct, frozen=True, kw_only=True):
    """What one command line left behind."""

    code: int
    out: str
    err: str

    @property
    def finding(self) -> str:
        """The line of a comparison that says what was found."""
        return next(line for line in self.out.splitlines() if line.startswith("FINDING"))


@pytest.fixture
def thermlog(capsys: pytest.CaptureFixture[str], unset: None) -> Callable[..., Ran]:  # noqa: ARG001 - for its effect
    """Run a command line inside a fresh folder, away from the user's own settings."""

    def command(*arguments: str) -> Ran:
        code = run(list(arguments))
        said = capsys.readouterr()
        return Ran(code=code, out=said.out, err=said.err)

    return command


@pytest.fixture
def checked(thermlog: Callable[..., Ran]) -> Callable[..., Ran]:
    """Check a log given as text: ``checked(text, "--format", "json").out``."""

    def of(text: str, *options: str) -> Ran:
        Path("log.csv").write_text(text, encoding="utf-8")
        return thermlog("check", "log.csv", *options)

    return of

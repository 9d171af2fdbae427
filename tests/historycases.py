"""Histories for tests: a file, a PostgreSQL server where one is given; visits of small invented vehicles."""

from __future__ import annotations

import hashlib
import os
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from logs import log_text

from thermlog.followup.jobrecord import JobLog, JobRecord
from thermlog.pipeline.run import Run, run
from thermlog.pipeline.settings import gather_settings
from thermlog.words.visits import Visit

SERVER = "THERMLOG_TEST_POSTGRES"  # address of a server on which databases may be made and dropped
NO_SERVER = f"no PostgreSQL server given; name one on which databases may be made in {SERVER}"


@contextmanager
def address_of(kind: str, folder: Path) -> Iterator[str]:
    """Address of a new, empty history of one kind."""
    if kind == "file":
        yield str(folder / "depot.db")
        return
    server = os.environ.get(SERVER)
    if not server:
        pytest.skip(NO_SERVER)
    from sqlalchemy import create_engine, make_url, text

    url = make_url(server).set(drivername="postgresql+psycopg")
    name = f"thermlog_test_{uuid.uuid4().hex[:12]}"
    admin = create_engine(url, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    try:
        yield url.set(database=name, drivername="postgresql").render_as_string(hide_password=False)
    finally:
        with admin.connect() as connection:
            connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
        admin.dispose()


def judged_log(folder: Path, name: str, text: str, policy: str | None = None) -> Run:
    """A log of this text, read and judged."""
    file = folder / name
    file.write_text(text, encoding="utf-8")
    return run([str(file)], gather_settings(policy=policy))


def visits(done: Run) -> list[Visit]:
    """What a history keeps of a run."""
    return list(done.visits(list(done.findings())))


def dated(rises_k: dict[str, float], start: str, **how: object) -> str:
    """Text of a log that states when it was taken."""
    return f"# date: {start}\n" + log_text(rises_k, **how)


def job_of_log(file: str, cause: str, **more: object) -> JobRecord:
    """The record of a job that began with a log, and what it found."""
    return JobRecord(
        vehicle=None,
        drive=None,
        log=JobLog(file=file, sha256=hashlib.sha256(Path(file).read_bytes()).hexdigest()),
        opened_at="2026-03-06T10:00:00+00:00",
        changed_at="2026-03-06T10:00:00+00:00",
        cause=cause,
        **more,  # type: ignore[arg-type]
    )

"""Where a history is: a file, or the address of a database server."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from thermlog.words.errors import HistoryError
from thermlog.words.letters import as_letters

if TYPE_CHECKING:
    from sqlalchemy import URL, Engine

_LEAST_WAIT_S = 1.0  # processes of one command read and write beside each other; engineering judgement
_SQLITE_HEAD = b"SQLite format 3\0"


def engine_of(address: str, *, make: bool, wait_s: float) -> tuple[Engine, str]:
    """A way to a history, and its address as it may be shown: without a password.

    Parameters
    ----------
    address : str
        A file, or an address as SQLAlchemy takes it: ``postgresql://user@host/name``.
    make : bool
        True if a file that is not there is to be made.
    wait_s : float
        How long to wait for others that are writing to a file [s]; a second at least.

    Returns
    -------
    Engine
        Not connected yet.
    str

    Raises
    ------
    HistoryError
        There is no such file, it is another kind of file, or the address cannot be understood.
    """
    if "://" in address:
        return _engine_of_url(address, wait_s)
    path = Path(address)
    _refuse_file(path, make=make)
    if as_letters(address) != address:
        msg = f"{address}: its name is no text; name a file in letters, as UTF-8"
        raise HistoryError(msg)
    from sqlalchemy import URL

    return _sqlite_engine(URL.create("sqlite", database=str(path.absolute())), wait_s), address


def is_history(source: str) -> bool:
    """True for the address of a database, and for a file that holds one.

    Parameters
    ----------
    source : str
        What a user named, be it a history or logs.
    """
    if "://" in source:
        return True
    try:
        with Path(source).open("rb") as file:
            return file.read(len(_SQLITE_HEAD)) == _SQLITE_HEAD
    except OSError:
        return False


def _refuse_file(path: Path, *, make: bool) -> None:
    try:
        if path.is_dir():
            problem: str | None = "is a folder; name a file"
        elif not path.exists():
            problem = None if make else "no such history; thermlog check LOG --history makes one"
            if not path.absolute().parent.is_dir():
                problem = f"the folder {path.parent} does not exist; make it first"
        else:
            with path.open("rb") as file:
                head = file.read(len(_SQLITE_HEAD))
            problem = (
                "is no history of thermlog; name another file" if head not in {b"", _SQLITE_HEAD} else None
            )
    except OSError as fault:
        problem = f"cannot be opened ({fault.strerror}); name another file"
    if problem:
        msg = f"{path}: {problem}"
        raise HistoryError(msg)


def _engine_of_url(address: str, wait_s: float) -> tuple[Engine, str]:
    from sqlalchemy import NullPool, create_engine, make_url
    from sqlalchemy.exc import ArgumentError, NoSuchModuleError

    try:
        url = make_url(address)
    except ArgumentError:
        msg = f'"{_scheme(address)}": no address of a database; write a file, or postgresql://USER@HOST/NAME'
        raise HistoryError(msg) from None
    shown = url.render_as_string(hide_password=True)
    if url.get_backend_name() == "sqlite":
        return _sqlite_engine(url, wait_s), shown
    if url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    try:
        return create_engine(url, poolclass=NullPool), shown
    except NoSuchModuleError:
        msg = f'{shown}: "{url.drivername}" is no kind of database that SQLAlchemy knows'
        raise HistoryError(msg) from None
    except ModuleNotFoundError as fault:
        cure = 'python -m pip install ".[sql]" brings the one for PostgreSQL'
        msg = f'{shown}: needs the Python module "{fault.name}"; {cure}'
        raise HistoryError(msg) from None


def _scheme(address: str) -> str:
    return address.partition("://")[0] + "://..."


def _sqlite_engine(url: URL, wait_s: float) -> Engine:
    """SQLite with transactions that lock when they begin: two writers wait, they never fail half way."""
    from sqlalchemy import NullPool, create_engine, event

    patience = {"timeout": max(wait_s, _LEAST_WAIT_S)}
    engine = create_engine(url, connect_args=patience, poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def own_transactions(connection: Any, _record: Any) -> None:
        connection.isolation_level = None  # the driver begins none by itself
        connection.execute("PRAGMA foreign_keys = ON")
        connection.execute("PRAGMA synchronous = FULL")

    @event.listens_for(engine, "begin")
    def begin(connection: Any) -> None:
        writing = connection.get_execution_options().get("writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine

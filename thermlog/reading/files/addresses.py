"""Logs on servers and in archives, such as ``s3://bucket/log.csv``: reached through fsspec, if it is there.

Nothing here is imported where no address is named.
"""

from __future__ import annotations

from contextlib import contextmanager
from textwrap import shorten
from typing import TYPE_CHECKING, Any, BinaryIO, cast

from msgspec import Struct

from thermlog.words.errors import LogRefusedError
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Iterator

_ADDRESS = regular(r"[A-Za-z][A-Za-z0-9+.-]+(://|::)")
_WITH_PASSWORD = regular(r"://([^/@:]*):[^/@]*@")
_WEB = ("http", "https")
_OMITTING = (*_WEB, "file", "local")
_FORBIDDEN, _MISSING = (401, 403), (404, 410)
IS_FOLDER = "this is a folder, not a log; name one file in it, or give the folder to `thermlog fleet`"
_MOST_LETTERS = 200  # of what a library says


class Located(Struct, frozen=True, kw_only=True):
    """One thing found at an address: its own address, its name there, and whether it holds others."""

    address: str
    name: str
    is_folder: bool


def is_address(path: str) -> bool:
    """True for the address of a file system, false for a path.

    Examples
    --------
    >>> is_address("s3://depot/a.csv"), is_address("zip://a.csv::file:///x.zip"), is_address("C:/a.csv")
    (True, True, False)
    """
    return "://" in path and _ADDRESS.match(path) is not None


def refuse_password(address: str) -> None:
    """Refuse an address with a password: it would stand in every list, file and history.

    Raises
    ------
    LogRefusedError
        The message does not repeat it.
    """
    if _WITH_PASSWORD.search(address):
        problem = (
            "an address with a password would be printed and kept; put the password where fsspec looks for "
            "it: its configuration files, or the environment"
        )
        raise LogRefusedError(problem, code="address", file=_WITH_PASSWORD.sub(r"://\1:...@", address))


@contextmanager
def opened(address: str) -> Iterator[BinaryIO]:
    """The bytes of a file at an address, as a stream.

    Raises
    ------
    LogRefusedError
        It cannot be reached or read.
    """
    with _refusals(address):
        system, name = _file_system(address)
        # a file of the web as it comes: one request, and no server need be able to give parts
        how = {"block_size": 0, "size": 1} if _is_web(address) else {}
        with system.open(name, "rb", **how) as stream:
            yield cast("BinaryIO", stream)


def entries(address: str, *, below: bool = False) -> list[Located] | None:
    """What a folder or a pattern comes to, in order.

    Parameters
    ----------
    address : str
        A pattern (``*``, ``**``, ``?``, ``[...]``; on the web stars only), or a folder; on the web a folder
        ends in ``/``.
    below : bool
        True for a folder whose files, and all in folders below it, are wanted.

    Returns
    -------
    list of Located or None
        None for what is neither a folder nor a pattern.

    Raises
    ------
    LogRefusedError
        There is no way there.
    """
    with _refusals(address):
        system, name = _file_system(address)
        system.invalidate_cache()  # what came since it was last asked counts
        # a folder that cannot be looked into is told of, where a file system does not do so unasked
        how = {"on_error": "raise"} if _scheme(address) in _OMITTING else {}
        if below:
            found = system.find(name, detail=True, **how)
        elif is_pattern(address):
            found = system.glob(name, detail=True, **how)
        elif address.endswith("/") if _is_web(address) else system.isdir(name):
            return entries(address, below=True)
        else:
            return None
        return [
            Located(address=_whole(address, one), name=one, is_folder=about.get("type") == "directory")
            for one, about in sorted(found.items())
        ]


def is_pattern(address: str) -> bool:
    """True for an address that may stand for several."""
    return any(sign in address_head(address) for sign in ("*" if _is_web(address) else "*?["))


def address_head(address: str) -> str:
    """The part of an address that names something within its own file system."""
    return address if _is_web(address) else address.partition("::")[0]


def _scheme(address: str) -> str:
    return address.partition("://")[0].lower()


def _is_web(address: str) -> bool:
    return _scheme(address) in _WEB


def _whole(address: str, name: str) -> str:
    """Address of a file by its name within the file system of another address."""
    head, sign, rest = address.partition("::")
    if _is_web(address):
        return name
    return f"{_scheme(head)}://{name}{sign}{rest}"


def _file_system(address: str) -> tuple[Any, str]:
    refuse_password(address)
    try:
        from fsspec import available_protocols
        from fsspec.core import url_to_fs
    except ImportError:
        problem = 'an address needs fsspec: python -m pip install ".[remote]"; or copy the log here'
        raise LogRefusedError(problem, code="address", file=address) from None
    parts = [address] if _is_web(address) else address.split("::")
    if {_scheme(part) for part in parts if "://" in part} - set(available_protocols()):
        problem = "nothing is known of such addresses; write file://, https://, zip://, s3:// or the like"
        raise LogRefusedError(problem, code="address", file=address)
    system, name = url_to_fs(address)
    return system, name


@contextmanager
def _refusals(address: str) -> Iterator[None]:
    """Whatever a file system fails at, as a refusal by name."""
    try:
        yield
    except LogRefusedError:
        raise
    except ImportError as fault:  # fsspec names the package
        problem = f"what reads such an address is not installed ({_said(fault)})"
        raise LogRefusedError(problem, code="address", file=address) from None
    except Exception as fault:  # noqa: BLE001 - every file system has faults of its own
        raise _refusal(fault, address) from None


def _refusal(fault: Exception, address: str) -> LogRefusedError:
    status = next(filter(None, (getattr(one, "status", None) for one in _causes(fault))), None)
    if isinstance(fault, PermissionError) or status in _FORBIDDEN:
        problem = f"no leave to read this ({_said(fault)}); check the rights there, and who you are to it"
        return LogRefusedError(problem, code="no_access", file=address)
    if isinstance(fault, IsADirectoryError):
        return LogRefusedError(IS_FOLDER, code="folder", file=address)
    if (isinstance(fault, FileNotFoundError) and status is None) or status in _MISSING:
        return LogRefusedError("no such file; check the address", code="no_file", file=address)
    problem = f"cannot be read ({_said(fault)}); check the address and whether the server is there"
    return LogRefusedError(problem, code="no_access", file=address)


def _causes(fault: BaseException | None) -> Iterator[BaseException]:
    while fault is not None:
        yield fault
        fault = fault.__cause__ or fault.__context__


def _said(fault: Exception) -> str:
    """What a library says, on one line."""
    words = shorten(str(fault), _MOST_LETTERS, placeholder="...")
    return f"{type(fault).__name__}: {words}" if words else type(fault).__name__

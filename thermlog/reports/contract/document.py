"""What every JSON output begins with."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.words.version import __version__

SchemaVersion: TypeAlias = Literal[1]


class ToolObject(Struct, frozen=True, kw_only=True):
    """What wrote this.

    Attributes
    ----------
    version : str
        Version of thermlog.
    """

    version: str = __version__


class DocumentObject(Struct, frozen=True, kw_only=True):
    """What every output begins with.

    Attributes
    ----------
    schema_version : {1}
        Grows when a key changes its meaning or goes away; new keys leave it as it is.
    tool : ToolObject
        What wrote this.
    """

    schema_version: SchemaVersion = 1
    tool: ToolObject = ToolObject()

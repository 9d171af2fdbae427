"""The wheel carries evidence and tables once more, in a form that is read at once; the evidence is checked.

To read the files and check every number takes a fifth of a check of one log. A checkout, where they are
edited, reads the files themselves.
"""

from __future__ import annotations

import sys
from array import array
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

if TYPE_CHECKING:
    from thermlog.advice.evidence import EvidenceTable


def _packed(table: EvidenceTable) -> bytes:
    """Names of the causes, and the table with its likelihoods as bytes, low byte first as most have them."""
    from msgspec import Raw, msgpack

    packed = msgpack.encode(table, enc_hook=lambda p: _low_first(p.by_answer))
    return msgpack.encode([tuple(table.causes), Raw(packed)])


def _low_first(numbers: memoryview[float]) -> bytes:
    floats = array("d", numbers.tobytes())
    if sys.byteorder == "big":
        floats.byteswap()
    return floats.tobytes()


class EvidenceHook(BuildHookInterface[Any]):
    """Makes one file of the evidence files, and JSON of every other table."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Before a wheel is put together."""
        if version == "editable":
            return
        sys.path.insert(0, self.root)
        from msgspec import json

        from thermlog.advice.evidenceload import BUILT, FILES, load_evidence
        from thermlog.words.bundled import built_of, bundled

        self.folder = TemporaryDirectory()
        contents = {BUILT: _packed(load_evidence(BUILT.parent))}
        tables = (path for path in Path(self.root, "thermlog").rglob("*.toml") if path.stem not in FILES)
        contents |= {built_of(path): json.encode(bundled(path)) for path in tables}
        for number, (place, content) in enumerate(contents.items()):
            made = Path(self.folder.name) / str(number)
            made.write_bytes(content)
            build_data["force_include"][str(made)] = str(place.relative_to(self.root))

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:  # noqa: ARG002 (the builder's signature)
        """After it."""
        if version != "editable":
            self.folder.cleanup()

"""The wheel carries the evidence once more, checked and in a form that is read at once.

To read its files and check every number takes a seventh of a check of one log. A checkout, where they are
edited, reads the files themselves.
"""

from __future__ import annotations

import sys
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class EvidenceHook(BuildHookInterface[Any]):
    """Makes one file of the evidence files."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Before a wheel is put together."""
        if version == "editable":
            return
        sys.path.insert(0, self.root)
        from msgspec import json

        from thermlog.advice.evidenceload import BUILT, load_evidence

        self.folder = TemporaryDirectory()
        made = Path(self.folder.name) / BUILT.name
        made.write_bytes(json.encode(load_evidence(BUILT.parent)))
        build_data["force_include"][str(made)] = str(BUILT.relative_to(self.root))

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:  # noqa: ARG002 (the builder's signature)
        """After it."""
        if version != "editable":
            self.folder.cleanup()

"""One log as text, checked by the command line."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any


def judged_text(thermlog: Any, text: str) -> tuple[int, dict[str, Any]]:
    """Exit code and the JSON of a check."""
    Path("walk.csv").write_text(text, encoding="utf-8")
    ran = thermlog("check", "walk.csv", "--format", "json")
    return ran.code, json.loads(ran.out)


def words_of(found: dict[str, Any]) -> set[str]:
    """The words of the answers to both questions."""
    return {found["answers"][one]["answer"] for one in ("drag", "idle")}


def words_and_step(thermlog: Any, text: str) -> tuple[int, set[str], str]:
    """Exit code, the words of both answers, and what to do next."""
    code, found = judged_text(thermlog, text)
    return code, words_of(found), found["next_check"]["id"]

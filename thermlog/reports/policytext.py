"""Parts of a policy file, as text."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.words.policy import CausesFound


def causes_lines(found: CausesFound) -> Iterator[str]:
    """The table of causes that were found, for the end of a policy file."""
    yield "[causes_found]"
    yield f"table_worth = {found.table_worth:g}"
    yield f"source = {json.dumps(found.source)}"
    yield ""
    yield "[causes_found.counts]"
    yield from (f"{cause} = {count}" for cause, count in found.counts)

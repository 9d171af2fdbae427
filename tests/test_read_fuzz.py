"""Random bytes and mutated logs: a refusal or a reading, never a traceback, never a lost row.

The normal run takes 500 examples of each; a long run is
``THERMLOG_FUZZ_EXAMPLES=20000 python -m pytest tests/test_read_fuzz.py``.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from readcases import SEEDS, outcome, told_twice

EXAMPLES = int(os.environ.get("THERMLOG_FUZZ_EXAMPLES", "500"))
LONG = settings(max_examples=EXAMPLES, deadline=None, suppress_health_check=list(HealthCheck))

CELLS = st.sampled_from(
    ["", "FL", "RR", "HL", "3L", "T2R", "80", "80,5", "80.5", "-999", "OL", "=1+1", "'7", "148 °C", "298 F",
     "64 K", "14:03", "23:59:59", "0:01", "2031-05-04T14:03:10", "04/05/2031", "2:03 pm", "12", "0", "nan",
     "1e9", "ambient", "time_s", "position", "temp_c", "temp", "FR (F)", "round 2", "5 min", "#", "# unit: F",
     "# drive: x", "# axles: steer drive", '"', '"a', 'a"b', "\x00", "\ufeff", "±", "18 ± 2 C", "٣", "½",
     "1_0", "unit", "side", "\u2028", "\x85", "1" * 30, "axle 99 L", "inner", "spot", "hub", "ambient_c",
     "date", "vehicle", "emissivity"]
)  # fmt: skip
SEPARATORS = st.sampled_from([",", ";", "\t", "|", " ", "  ", "\n", "\r\n", "\r", "\n\n", ", "])
ENCODINGS = st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-16-be", "cp1252"])


@LONG
@given(st.binary(max_size=400))
def test_random_bytes_are_read_or_refused(content: bytes) -> None:
    told_twice(content)


@LONG
@given(st.lists(st.tuples(CELLS, SEPARATORS), max_size=60), ENCODINGS)
def test_random_tables_are_read_or_refused(parts: list[tuple[str, str]], encoding: str) -> None:
    text = "".join(cell + separator for cell, separator in parts)
    told_twice(text.encode(encoding, errors="replace"))


EDITS = st.lists(
    st.tuples(
        st.sampled_from(["insert", "delete", "double", "swap"]),
        st.floats(0, 1),
        st.floats(0, 0.2),
        CELLS,
        SEPARATORS,
    ),
    min_size=1,
    max_size=6,
)


def mutated(text: str, edits: list[tuple[str, float, float, str, str]]) -> str:
    """The text after each edit, at places given as shares of its length."""
    for kind, place, share, cell, separator in edits:
        at = int(place * len(text))
        end = min(len(text), at + 1 + int(share * len(text)))
        if kind == "insert":
            text = text[:at] + cell + separator + text[at:]
        elif kind == "delete":
            text = text[:at] + text[end:]
        elif kind == "double":
            text = text[:end] + text[at:]
        else:
            text = text[:at] + text[end:] + text[at:end]
    return text


@LONG
@given(st.sampled_from(SEEDS), EDITS, ENCODINGS, st.sampled_from([None, "C", "F"]))
def test_mutated_logs_are_read_or_refused(seed: str, edits, encoding: str, unit: str | None) -> None:
    outcome(mutated(seed, edits).encode(encoding, errors="replace"), unit=unit)


@LONG
@given(
    st.sampled_from(SEEDS),
    st.lists(st.tuples(st.integers(0, 400), st.integers(0, 255)), min_size=1, max_size=8),
)
def test_logs_with_changed_bytes_are_read_or_refused(seed: str, changes: list[tuple[int, int]]) -> None:
    content = bytearray(seed.encode())
    for place, value in changes:
        content[place % len(content)] = value
    told_twice(bytes(content))

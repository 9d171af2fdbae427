"""Words in rows and cells that were set aside: they may be remarks, and count as such wherever they stand."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.beheld import is_line_told, states_heat
from thermlog.reading.cells import tidy, unit_word
from thermlog.reading.cellwords import bare_letters, cell_words, runs_of
from thermlog.reading.observations import Remark
from thermlog.reading.positions.resolve import looks_like_position
from thermlog.reading.positions.words import tokens_of
from thermlog.reading.remarks.signs import is_marked
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.reading.observations import Observations
    from thermlog.reading.sifted import Sifted
    from thermlog.words.errors import SetAsideCode

_FIGURES = regular(r"[+-]?\d[\d.,:/]*")
_LEADING = regular(r"[^\w]*\d[\d.,]*\s*(?:(?:°|º|deg)?\s?[CFK]\b|°|º)?[^\w]*")
_LONGEST = 4  # tokens of the longest word in a table
_SENTENCE = 4  # words; fewer are a total, a title or a mark
_SHORTEST = 3  # letters; shorter words in a row are codes, units and marks
_FORMULA = ("=", "@", "'")
# Cells of these say what they are without their words, or are no wheel's.
_KNOWN: frozenset[SetAsideCode] = frozenset(
    {"over_range", "air", "summary", "other_part", "repeat", "taken_back"}
)


def remarks_of_strays(seen: Observations) -> Iterator[Remark]:
    """Lines among the rows that fit no row: with words beside wheels and figures they are remarks."""
    for entry, cells in zip(seen.set_aside, seen.strays, strict=True):
        filled = [*filter(None, map(str.strip, cells))]
        words = len(filled) > 1 and not any(" " in cell or any(map(str.isdigit, cell)) for cell in filled)
        text = " ".join(filled) if words else ", ".join(filled)  # spaces parted its words
        hot, worded = states_heat(text), any(map(_words_of, cells))
        alone = len(filled) == 1 and (hot or is_line_told(text))  # "LR 300 C", "not read"
        if alone or (worded and (hot or is_line_told(text) or _is_sentence(cells))):
            yield Remark(line=entry.line, text=text, row=None, of_wheel=False, strict=False)


def _is_sentence(cells: Sequence[str]) -> bool:
    """True for words alone: somebody wrote a line of a remark without its mark."""
    words = [token for cell in cells for token in tokens_of(cell)]
    return len(words) >= _SENTENCE and not any(any(map(str.isdigit, word)) for word in words)


def remarks_of_dropped(work: Sifted) -> list[Remark]:
    """Words in cells of readings that were not used; those of a temperature are about its wheel."""
    found: dict[tuple[int, str], Remark] = {}
    one_a_line = work.asked.plan.layout == "long"
    for row, entry in work.dropped.items():
        known = entry.code in _KNOWN
        cells = [
            ("" if known else _words_of(work.seen.temp[row]), True),
            (_words_of(work.seen.time[row]) if work.seen.time else "", one_a_line),
            (work.seen.position[row] if _words_of(work.seen.position[row]) else "", False),
        ]
        for text, of_wheel in cells:
            if text and (of_wheel or is_line_told(text)):
                line = work.seen.line[row]
                fresh = Remark(line=line, text=text, row=row, of_wheel=of_wheel, strict=False)
                found.setdefault((row if of_wheel else -line, text), fresh)
    return list(found.values())


def _words_of(cell: str) -> str:
    """What a cell says behind its figure; empty where that is no more than a wheel, a unit or a mark."""
    text = tidy(cell)
    if is_marked(text) and looks_like_position(text):
        return text  # "RR 🔥"
    if text.startswith(_FORMULA) or text.lower() == text.upper() or "\x00" in text:
        return ""
    left = _FIGURES.sub(" ", text)
    felt_alone = left == text and bare_letters(left) in cell_words().by_hand
    if felt_alone or looks_like_position(left) or unit_word(left):
        return ""
    tokens = tokens_of(left)
    marks = cell_words().no_temperature
    known = {
        k
        for a, b, said in runs_of(tokens, _LONGEST)
        if said in marks or looks_like_position(said)
        for k in range(a, b)
    }
    rest = (token for k, token in enumerate(tokens) if k not in known)
    if all(len(token) < _SHORTEST for token in rest):
        return ""
    return _LEADING.sub("", text, count=1) if _LEADING.match(text) else text

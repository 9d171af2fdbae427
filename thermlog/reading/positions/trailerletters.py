"""TL and TR, LT and RT beside the four wheels of a vehicle: left and right of what it draws."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.positions.meanings import Meaning, Parsed
from thermlog.reading.positions.words import SHORT_CODE, tokens_of, word_table

if TYPE_CHECKING:
    from collections.abc import Mapping

_LETTERS = ({"TL": "left", "TR": "right"}, {"LT": "left", "RT": "right"})
_WHEELS = 4


def is_plain_code(parsed: Parsed) -> bool:
    """A short code that belongs to no language set, such as FL or NSF."""
    return (
        len(parsed.code) <= SHORT_CODE
        and parsed.code in word_table().codes
        and not any(m.language for m in parsed.meanings)
    )


def trailer_letters(parsed: Mapping[str, Parsed]) -> tuple[dict[str, Parsed], list[str]]:
    """Both letters of such a pair as a trailer's, and a note, where nothing else in the file names one.

    Parameters
    ----------
    parsed : mapping from text to Parsed
        All texts of the file; in no language that the user named.
    """
    texts = {"".join(tokens_of(text)): text for text in parsed}
    four = {m.end + m.side for one in parsed.values() for m in one.meanings if is_plain_code(one)}
    sides = next((one for one in _LETTERS if one.keys() <= texts.keys()), None)
    if sides is None or len(four) < _WHEELS:
        return {}, []
    own = {texts[code] for code in sides}
    others = (m for text, one in parsed.items() if text not in own for m in one.meanings)
    if any(m.language or m.unit or m.role or m.axle for m in others):
        return {}, []
    found = {
        texts[code]: Parsed(code=f"TRAILER{code}", meanings=(Meaning(side=side, unit="trailer"),))
        for code, side in sides.items()
    }
    names = " and ".join(sides)
    return found, [f"{names} are taken as left and right of a trailer: four other wheels have their names"]

"""Columns that ask something of each wheel and are answered yes or no: "smoke", "turns freely", "valid"."""

from __future__ import annotations

from collections import Counter
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct, convert

from thermlog.reading.cellwords import bare_letters, runs_of
from thermlog.reading.positions.words import tokens_of
from thermlog.words.bundled import bundled
from thermlog.words.regular import regular

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

AnswerKind: TypeAlias = Literal["yes", "no", "red", "green"]
# What an answer tells: the wheel does not turn freely, its brake does nothing, something at it is not as it
# should be, its reading is none, water was on it.
AnswerTold: TypeAlias = Literal["free", "works", "sound", "read", "water"]

_MARK = regular(r"\s*[:=?]+\s*(?=[^:=?]*$)")
_CHOICE = regular(r"[\s(\[]*\b\w{1,4}\s?[/|]\s?\w{1,5}[)\]]*\??\s*$|\s*[(\[]\s*[x✓✔]\s*[)\]]\s*$")
_JOINED = regular(r"\s*[/&+]\s*")  # "smoke/smell: no" denies both
_ENDS = " .!?()[]\t"
_LONGEST = 4  # tokens of the longest question in the table
_FIGURES = frozenset({"0", "1"})
_TOGETHER: tuple[frozenset[AnswerKind], ...] = (frozenset({"yes", "no"}), frozenset({"red", "green"}))


class _AnswerWords(Struct, frozen=True, kw_only=True):
    answer: Mapping[str, frozenset[AnswerKind]]
    no_means: Mapping[str, AnswerTold]
    yes_means: Mapping[str, AnswerTold]
    fill: frozenset[str]


@lru_cache(maxsize=1)
def _words() -> _AnswerWords:
    raw = bundled(Path(__file__).with_name("answerwords.toml"))
    kinds: tuple[AnswerKind, ...] = ("yes", "no", "red", "green")
    said = {word for kind in kinds for word in raw[kind]}
    return _AnswerWords(
        answer={word: frozenset(kind for kind in kinds if word in raw[kind]) for word in said},
        no_means=_turned(raw["no_means"]),
        yes_means=_turned(raw["yes_means"]),
        fill=frozenset(raw["fill"]),
    )


def _turned(lists: Mapping[str, Sequence[str]]) -> dict[str, AnswerTold]:
    return convert({word: told for told, words in lists.items() for word in words}, dict[str, AnswerTold])


@lru_cache(maxsize=4096)
def answer_told(text: str, *, at_wheel: bool = False) -> AnswerTold | None:
    """What a question with its answer tells: "turns freely: no"; None where the answer is as it should be.

    Parameters
    ----------
    text : str
    at_wheel : bool
        It stands beside one wheel; a lamp that is red is else the colour of something.

    Examples
    --------
    >>> answer_told("turns freely: no"), answer_told("turns freely: yes"), answer_told("dreht frei? nein")
    ('free', None, 'free')
    >>> answer_told("colour: red"), answer_told("colour: red", at_wheel=True)
    (None, 'sound')
    """
    mark = _MARK.search(text)
    if mark is None:
        return None
    question, answer = text[: mark.start()], _answers_of(text[mark.end() :])
    if "red" in answer and at_wheel:
        return "sound"
    table, said = _words(), bare_letters(text[mark.end() :])
    if at_wheel and not answer and said in table.yes_means:
        return table.yes_means[said]  # "status: invalid"
    meant = table.no_means if "no" in answer else table.yes_means if "yes" in answer else {}
    return _told(tokens_of(question), meant) if meant else None


def _told(question: Sequence[str], meant: Mapping[str, AnswerTold]) -> AnswerTold | None:
    """What the answer to a question means; of all its words those that ask nothing may stand beside it."""
    fill = _words().fill
    for start, stop, asked in runs_of(question, _LONGEST):
        if asked in meant and fill.issuperset([*question[:start], *question[stop:]]):
            return meant[asked]
    return None


def answers_told(heading: str, cells: Sequence[str]) -> dict[str, str]:
    """What the cells of a column say that is answered yes or no, or by the colours of a lamp, cell by cell.

    Parameters
    ----------
    heading : str
        The question.
    cells : sequence of str

    Returns
    -------
    dict
        Cell -> remark; empty where the column asks nothing. That something is as it should be is no remark.

    Examples
    --------
    >>> answers_told("smoke?", ["y", "n"]), answers_told("dreht frei (j/n)", ["n", "j"])
    ({'n': 'smoke: no', 'y': 'smoke'}, {'n': 'dreht frei: no'})
    >>> answers_told("pads", ["8", "7"]), answers_told("drum", ["x", "x"])
    ({}, {'x': 'drum'})
    """
    question = _JOINED.sub(" or ", _CHOICE.sub("", heading.strip()).strip(_ENDS))
    given = {cell: _answers_of(cell) for cell in sorted(set(cells)) if cell.strip()}
    kinds = _kinds_of(given, blanks=any(not cell.strip() for cell in cells))
    if not kinds or not question or question.isdigit():
        return {}
    said = {cell: _remark(question, answer & kinds) for cell, answer in given.items()}
    return {cell: text for cell, text in said.items() if text}


def _remark(question: str, answer: frozenset[AnswerKind]) -> str:
    """What one answer says; empty where it says that something is as it should be."""
    if "red" in answer:
        return f"{question}: red"
    if "no" in answer:
        return f"{question}: no"
    if "yes" not in answer or answer_told(f"{question}: no") is not None:
        return ""
    return question if answer_told(f"{question}: yes") is None else f"{question}: yes"


def _kinds_of(given: Mapping[str, frozenset[AnswerKind]], *, blanks: bool) -> frozenset[AnswerKind]:
    """Kinds of answers that all cells of a column are; a lone figure or colour in every row is none."""
    if sum(len(cell.strip()) == 1 and "yes" in answer for cell, answer in given.items()) > 1:
        return frozenset()  # letters of two languages: initials
    for kinds in _TOGETHER:
        if given and all(answer & kinds for answer in given.values()):
            varied = blanks or len(given) > 1
            plain = "red" in kinds or not _FIGURES.isdisjoint(given)
            return kinds if varied or not plain else frozenset()
    return frozenset()


def rare_answers(cells: Sequence[str]) -> frozenset[str]:
    """Answers that clearly fewer cells give than not: of these wheels something else is said.

    Examples
    --------
    >>> sorted(rare_answers(["yes", "no", "yes", "yes"])), sorted(rare_answers(["yes", "no"]))
    (['no'], [])
    >>> sorted(rare_answers(["no", "", "", ""])), sorted(rare_answers(["x", "", "", ""]))
    ([], ['x'])
    """
    counts = Counter(cells)
    agreed = any("yes" in _answers_of(cell) for cell in counts)
    few = (cell for cell, many in counts.items() if cell.strip() and 2 * many < len(cells))
    return frozenset(cell for cell in few if agreed or "no" not in _answers_of(cell))


def _answers_of(cell: str) -> frozenset[AnswerKind]:
    text = cell.strip()
    word = bare_letters(text) or text.strip(_ENDS)
    return _words().answer.get(word, frozenset())

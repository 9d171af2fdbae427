"""Sentences with temperatures and corners in them, which a page puts into its unit and into words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from operator import is_
from typing import TypeVar

from msgspec import Struct
from msgspec.structs import replace

from thermlog.words.units import Unit, difference_from_k, from_degc
from thermlog.words.vehicle import SIDE_NAMES, OwnWords, corner_words, own_words, split_corner

_Thing = TypeVar("_Thing")


class Degrees(Struct, frozen=True, kw_only=True):
    """A temperature or a difference inside a sentence.

    Attributes
    ----------
    value : float
        [°C], or [K] if `step`.
    step : bool
        True for a difference.
    digits : int or None
        Behind the decimal point; None: four significant digits.
    bare : bool
        Without its unit.
    """

    value: float
    step: bool
    digits: int | None = 0
    bare: bool = False

    def text(self, unit: Unit | None) -> str:
        """In a unit; None: kelvin for differences, degrees Celsius for temperatures."""
        if unit is None and self.digits == 0:
            return whole_degrees(step=self.step, bare=self.bare).format(self.value)
        of = unit or "C"
        value = difference_from_k(self.value, of) if self.step else from_degc(self.value, of)
        number = f"{value:.4g}" if self.digits is None else f"{value:z.{self.digits}f}"  # no -0
        if self.bare:
            return number
        return f"{number} K" if of == "K" or (unit is None and self.step) else f"{number} °{of}"


def whole_degrees(*, step: bool, bare: bool) -> str:
    """Format of a whole number of degrees in a sentence that nobody puts on a page."""
    if bare:
        return "{:z.0f}"  # no -0
    return "{:z.0f} K" if step else "{:z.0f} °C"


def degc(value: float, *, digits: int | None = 0, bare: bool = False) -> Degrees:
    """A temperature for a sentence [°C]."""
    return Degrees(value=value, step=False, digits=digits, bare=bare)


def kelvin(value: float, *, bare: bool = False) -> Degrees:
    """A temperature difference for a sentence [K]."""
    return Degrees(value=value, step=True, bare=bare)


class Corners(Struct, frozen=True, kw_only=True):
    """Corners inside a sentence, by their codes."""

    codes: tuple[str, ...]

    def text(self, page: Page) -> str:
        """As a page names them: in words for a vehicle of so many axles, else by their codes."""
        if page.axle_count is None:
            return listed(self.codes)
        return listed(page.corner(code, page.axle_count) for code in self.codes)


def listed(names: Iterable[str]) -> str:
    """Names joined by commas and an *and*.

    Examples
    --------
    >>> listed(["front left"]), listed(["1L", "1R"]), listed(["1L", "1R", "2L"])
    ('front left', '1L and 1R', '1L, 1R and 2L')
    """
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def few_of(names: Sequence[str], most: int, *, joint: str = ", ") -> str:
    """The first of some names, and how many more there are.

    Examples
    --------
    >>> few_of(["1L", "1R"], 2), few_of(["1L", "1R", "2L"], 1)
    ('1L, 1R', '1L and 2 more')
    """
    more = len(names) - most
    return joint.join(names[:most]) + (f" and {more} more" if more > 0 else "")


def named(*codes: str) -> Corners:
    """Corners for a sentence."""
    return Corners(codes=codes)


class Page(Struct, frozen=True, kw_only=True):
    """What sentences are put into: the unit shown, and the axles of the vehicle that name its corners.

    `called` are the words of the log, for a page on which a reader meets its corners first. `below_axle` is
    one that is named in front of the sentence: its corners go by their side. None stands for what a sentence
    speaks by itself: kelvin and degrees Celsius, codes of corners.
    """

    unit: Unit | None = None
    axle_count: int | None = None
    called: tuple[OwnWords, ...] = ()
    below_axle: int | None = None

    def corner(self, code: str, axle_count: int) -> str:
        """A corner in words, by its side alone where its axle is named already.

        Examples
        --------
        >>> Page(below_axle=3).corner("3R", 5), Page(below_axle=3).corner("2R", 5)
        ('right', 'axle 2 right')
        """
        axle, side = split_corner(code)
        if axle != self.below_axle:
            return corner_words(code, axle_count, self.called)
        own = own_words(code, axle_count, self.called)
        return f"{SIDE_NAMES[side]} ({own})" if own else SIDE_NAMES[side]


_NO_PAGE = Page()


class Sentence(str):
    """Text that knows its parts; by itself it speaks kelvin, degrees Celsius and codes. See `sentence`."""

    pattern: str
    parts: tuple[object, ...]
    starts: bool


def sentence(pattern: str, *parts: object) -> Sentence:
    """Put parts into the ``{}`` of a pattern.

    Parameters
    ----------
    pattern : str
    parts : object
        `Degrees`, `Corners`, sentences, or anything else with a text.

    Examples
    --------
    >>> gap = sentence("{} is {} above {}", named("1L"), kelvin(81.4), named("1R"))
    >>> print(gap)
    1L is 81 K above 1R
    >>> print(on_page(gap, Page(unit="F", axle_count=2)))
    front left is 147 °F above front right
    """
    return _made(pattern, parts, _NO_PAGE, starts=False)


def with_article(noun: str) -> str:
    """A noun behind "a" or "an".

    Examples
    --------
    >>> with_article("fixed caliper"), with_article("air disc"), with_article("S-cam air drum")
    ('a fixed caliper', 'an air disc', 'an S-cam air drum')
    """
    return f"{'an' if noun.startswith((*'aeio', 'S-')) else 'a'} {noun}"


def capital(text: str) -> str:
    """The same text with a capital first letter.

    Examples
    --------
    >>> capital(sentence("{}: read again", sentence("not enough heat"))), capital("1L")
    ('Not enough heat: read again', '1L')
    """
    if isinstance(text, Sentence):
        return _made(text.pattern, text.parts, _NO_PAGE, starts=True)
    return text[:1].upper() + text[1:]


def on_page(thing: _Thing, page: Page) -> _Thing:
    """A text, or a record or tuple of texts, with every `Sentence` in it put into words for a page.

    Parameters
    ----------
    thing : object
        Whatever holds no sentence is given back as it is.
    page : Page
    """
    shown: object = thing
    if isinstance(thing, Sentence):
        shown = str(_made(thing.pattern, thing.parts, page, starts=thing.starts))
    elif isinstance(thing, tuple):
        ones = tuple(on_page(one, page) for one in thing)
        shown = thing if all(map(is_, ones, thing)) else ones
    elif isinstance(thing, Struct):
        fields = {name: getattr(thing, name) for name in thing.__struct_fields__}
        changed = {name: new for name, old in fields.items() if (new := on_page(old, page)) is not old}
        shown = replace(thing, **changed) if changed else thing
    return shown  # type: ignore[return-value]  # of the kind that came in


def _made(pattern: str, parts: tuple[object, ...], page: Page, *, starts: bool) -> Sentence:
    text = pattern.format(*(_part(part, page) for part in parts))
    made = Sentence(text[:1].upper() + text[1:] if starts else text)
    made.pattern, made.parts, made.starts = pattern, parts, starts
    return made


def _part(part: object, page: Page) -> str:
    if isinstance(part, Degrees):
        return part.text(page.unit)
    if isinstance(part, Corners):
        return part.text(page)
    return str(on_page(part, page))


def corners_said(text: Sentence) -> frozenset[str]:
    """Codes of the corners that a sentence names.

    Examples
    --------
    >>> sorted(corners_said(sentence("{} is {} above {}", named("1L"), kelvin(81.4), named("1R"))))
    ['1L', '1R']
    """
    return frozenset(code for part in text.parts if isinstance(part, Corners) for code in part.codes)


def counted(count: int, noun: str) -> str:
    """A count with its noun.

    Examples
    --------
    >>> counted(1, "log"), counted(0, "log")
    ('1 log', '0 logs')
    """
    return f"{count} {noun}{'' if count == 1 else 's'}"

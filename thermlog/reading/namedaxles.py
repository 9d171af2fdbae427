"""How many axles the words for a vehicle count: "6x4 tipper", "3-axle trailer", "Dreiachser"."""

from __future__ import annotations

from thermlog.reading.headings import plain_words
from thermlog.reading.remarks.wholesaid import DRAWN_BEHIND, made_of
from thermlog.words.regular import regular

_SIDES = 2
_FEWEST_DRAWING = 2  # axles of a vehicle that draws another
_LONGEST = 60  # signs of a line that only tells how many there are
# Common practice, no source; words of languages other than English: from memory, not checked.
_IN_WORDS = (
    "two twin tandem double zwei deux dos due dois twee tva dwu dwie",
    "three tri triple drei trois tres tre drie tros trzy",
    "four quad vier quatre cuatro quattro quatro fyra cztero cztery",
    "five funf cinq cinco cinque vijf fem piecio piec",
)
_NUMBERS = {word: str(number) for number, words in enumerate(_IN_WORDS, start=2) for word in words.split()}
_AXLES = "axles?|axled|achs(?:er|en|ig)|essieux|ejes|assi|eixos|assen|assig|osiow[aye]|osie|osi"
_COUNTED = regular(rf"\b(?P<count>[2-9]|{'|'.join(_NUMBERS)}) ?(?:{_AXLES})\b")
_SIGNS = ("x", "×", "ach", "ess", "ass", "ej", "osi", "wheel")  # one of which stands in whatever counts axles
# Of a lorry: two wheels an axle. Of more than eight, some stand beside each other: nobody can tell.
_WHEELER = regular(r"\b(?P<wheels>4|6|8|four|six|eight) ?wheel(?:er|ed)s?\b")
_WHEELS = {"four": "4", "six": "6", "eight": "8"}
_FORMULA = regular(r"\b(?P<wheels>4|6|8|10) ?[x×] ?(?:2|4|6|8|10)\b")  # wheel ends, and how many are driven


def axles_named(vehicle: str | None) -> int:
    """How many axles the words count, by a number or a wheel formula; 0 where they do not.

    A tractor may draw more, so these are the least that there are.

    Examples
    --------
    >>> names = ("6x4 tipper 22", "van 4x4", "six-wheeler", "Dreiachser 5", "axle 3 test")
    >>> [axles_named(name) for name in names]
    [3, 2, 3, 3, 0]
    """
    words = plain_words(vehicle or "")
    if not any(sign in words for sign in _SIGNS):
        return 0
    counts = [int(_NUMBERS.get(said["count"], said["count"])) for said in _COUNTED.finditer(words)]
    ends = (said["wheels"] for rule in (_FORMULA, _WHEELER) for said in rule.finditer(words))
    return max([*counts, *(int(_WHEELS.get(one, one)) // _SIDES for one in ends)], default=0)


def axles_told(text: str) -> int:
    """How many axles a remark counts that says nothing else; 0 for any other.

    One drawn behind comes after two of the vehicle that draws it, the fewest there are.

    Examples
    --------
    >>> [axles_told(text) for text in ("6x4", "5 axles", "twin-axle trailer behind", "bay for 5 axles")]
    [3, 5, 4, 0]
    """
    if len(text) > _LONGEST or not any(map(str.isalpha, text)):
        return 0
    lists = ("axles", "count", "vehicle", "axle_fill", "fill")
    counted = axles_named(text) if made_of(text, *lists, DRAWN_BEHIND) else 0
    if not counted or made_of(text, *lists):
        return counted
    return counted + _FEWEST_DRAWING

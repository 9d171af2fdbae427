"""Text for a page, in both units at once, and cleaned of what cannot be seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from thermlog.reports.wording import Show

# Joiners shape letters of Persian and of Indian scripts; marks order them, and a page isolates every name.
_SHAPING = frozenset("\u200c\u200d\u200e\u200f")


class Dual(Struct, frozen=True):
    """A text with temperatures in it, in °C and in °F; the page shows the one that is chosen.

    Attributes
    ----------
    c, f : str
        The same in degrees Celsius and in degrees Fahrenheit.
    """

    c: str
    f: str

    def __html__(self) -> str:
        """Both, escaped; once where they are alike. Templates write ``{{ shown }}``."""
        from markupsafe import escape

        if self.c == self.f:
            return str(escape(self.c))
        return f'<bdi class="c">{escape(self.c)}</bdi><bdi class="f">{escape(self.f)}</bdi>'

    def __bool__(self) -> bool:
        return bool(self.c)


def in_both(write: Callable[[Show], str]) -> Dual:
    """What `write` says in each unit, in letters that can be seen.

    Examples
    --------
    >>> from thermlog.reports.wording import degrees, temperature
    >>> in_both(lambda show: f"{temperature(100.0, show)} {degrees(show)}")
    Dual(c='100 °C', f='212 °F')
    """
    return Dual(seen(write("C")), seen(write("F")))


def lines_in_both(write: Callable[[Show], Sequence[str]]) -> tuple[Dual, ...]:
    """Lines that `write` says in each unit, each as `in_both` has it."""
    return tuple(Dual(seen(c), seen(f)) for c, f in zip(write("C"), write("F"), strict=True))


def alike(text: str) -> Dual:
    """A text without temperatures: the same in both units."""
    return Dual(seen(text), seen(text))


def seen(text: str, most: int = 0) -> str:
    r"""Text of somebody else on one line: without controls and overrides of direction, cut after `most`.

    Examples
    --------
    >>> seen("van\u202e 12\n"), seen("van 12345", most=6)
    ('van? 12?', 'van 1…')
    """
    whole = "".join(letter if letter.isprintable() or letter in _SHAPING else "?" for letter in text)
    return whole if not most or len(whole) <= most else whole[: most - 1].rstrip() + "…"

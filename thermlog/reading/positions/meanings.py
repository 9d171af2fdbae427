"""Ways to read the text of a wheel position, before the file decides."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

if TYPE_CHECKING:
    from thermlog.words.vehicle import Spot


class Meaning(Struct, frozen=True, kw_only=True):
    """One way to read a text.

    Attributes
    ----------
    side : {"left", "right", "near", "off", "driver", "passenger", ""}
    axle : int or None
        Number as written.
    end : {"front", "middle", "rear", ""}
    unit, role, dual : str
        Keys of the tables of that name in positions.toml, or "".
    language : str
        The only language this meaning is read in; "" for all.
    style : tuple of str
        Keys of [support] in positions.toml met in the text.
    """

    side: str = ""
    axle: int | None = None
    end: str = ""
    unit: str = ""
    role: str = ""
    dual: str = ""
    language: str = ""
    style: tuple[str, ...] = ()

    @property
    def leads(self) -> bool:
        """True where the words speak of an axle behind in the same unit, as "front" and "steer" do."""
        return self.end == "front" or self.role == "steer"


class Parsed(Struct, frozen=True, kw_only=True):
    """One text taken apart.

    Attributes
    ----------
    code : str
        Letters and digits left when spot and filler are taken away.
    meanings : tuple of Meaning
        Empty if the text is no position.
    sideless : bool
        True if only a side is missing.
    spot : Spot or None
    dual : {"inner", "outer", ""}
        Which wheel of a pair, if a word of its own says so.
    """

    code: str
    meanings: tuple[Meaning, ...] = ()
    sideless: bool = False
    spot: Spot | None = None
    dual: str = ""

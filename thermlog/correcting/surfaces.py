"""Surfaces: emissivities with sources, what is believed of skins nobody named, sizes of targets."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal, TypeAlias

import numpy as np
from msgspec import Meta, Struct
from msgspec.structs import asdict

from thermlog.words.bundled import bundled
from thermlog.words.errors import PolicyError
from thermlog.words.tables import Floats
from thermlog.words.tomlfile import read_toml
from thermlog.words.tomlrecord import SourceText, policy_refusal, record_of
from thermlog.words.vehicle import SIDES, SPOTS, Spot

if TYPE_CHECKING:
    from numpy.typing import ArrayLike


_FILE = Path(__file__).with_name("surfaces.toml")
_Share: TypeAlias = Annotated[float, Meta(gt=0, le=1)]
_EVERY_SPOT = Meta(min_length=len(SPOTS))


class _Row(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    source: SourceText


class _SurfaceRow(_Row, frozen=True, kw_only=True):
    emissivity: _Share
    spread: _Share
    band: str = ""


class _SkinRow(_Row, frozen=True, kw_only=True):
    emissivity: _Share
    spread_common: _Share
    spread_corner: _Share


class _TargetRow(_Row, frozen=True, kw_only=True):
    width_m: _Share


class _StatedRow(_Row, frozen=True, kw_only=True):
    spread: _Share


class _SurfacesFile(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A surfaces file."""

    schema: Literal["thermlog-surfaces-1"]
    surface: dict[str, _SurfaceRow]
    skin: Annotated[dict[Spot, _SkinRow], _EVERY_SPOT]
    target: Annotated[dict[Spot, _TargetRow], _EVERY_SPOT]
    stated: _StatedRow


class Surface(_SurfaceRow, frozen=True, kw_only=True):
    """One kind of surface: emissivity with its standard uncertainty, and where both come from."""

    name: str


class Skin(Struct, frozen=True, kw_only=True):
    """What is believed of emissivities nobody stated, numbers or arrays.

    Attributes
    ----------
    emissivity : float or array
        Middle of what is likely.
    spread_common : float or array
        Standard deviation of ln emissivity, common to both sides.
    spread_corner : float or array
        The same, separate for each corner.
    """

    emissivity: ArrayLike
    spread_common: ArrayLike
    spread_corner: ArrayLike


class Catalogue(Struct, frozen=True, kw_only=True):
    """Contents of a surfaces file.

    Attributes
    ----------
    surfaces : mapping of str to Surface
        By name.
    skins : mapping of Spot to Skin
        For every spot.
    width_m : float array (spots,)
        Smallest width of the usual target, in the order of `vehicle.SPOTS` [m].
    stated_spread : float
        Standard uncertainty of an emissivity stated as a number.
    """

    surfaces: Mapping[str, Surface]
    skins: Mapping[Spot, Skin]
    width_m: Floats
    stated_spread: float


class SurfaceChoice(Struct, frozen=True, kw_only=True):
    """A surface stated for a corner, a spot, or a spot of a corner; None means every one.

    `word` stands in place of a corner: what it names is told by each log (`Case.places`).
    """

    surface: Surface
    corner: str | None = None
    spot: Spot | None = None
    word: str | None = None


@lru_cache(maxsize=1)
def usual_surfaces() -> Catalogue:
    """The bundled table of surfaces."""
    return _catalogue(bundled(_FILE), _FILE.name)


def load_surfaces(path: str | Path) -> Catalogue:
    """Read a surfaces file.

    Parameters
    ----------
    path : str or Path
        TOML file in the form of the bundled one.

    Returns
    -------
    Catalogue

    Raises
    ------
    PolicyError
        File missing or not TOML, part missing, value out of range or without source.
    """
    table = read_toml(path, refusal=PolicyError, cure="give the path of a surfaces file (TOML)")
    return _catalogue(table, str(path))


def _catalogue(table: dict[str, Any], where: str) -> Catalogue:
    stated = record_of(table, _SurfacesFile, policy_refusal(where))
    return Catalogue(
        surfaces={name: Surface(name=name, **asdict(row)) for name, row in stated.surface.items()},
        skins={
            spot: Skin(
                emissivity=row.emissivity, spread_common=row.spread_common, spread_corner=row.spread_corner
            )
            for spot, row in stated.skin.items()
        },
        width_m=np.array([stated.target[spot].width_m for spot in SPOTS]),
        stated_spread=stated.stated.spread,
    )


def _no_word(word: str) -> tuple[str, Spot | None] | None:  # noqa: ARG001
    return None


def surface_choice(
    text: str,
    catalogue: Catalogue,
    *,
    place_word: Callable[[str], tuple[str, Spot | None] | None] = _no_word,
) -> SurfaceChoice:
    """Understand one statement of a surface.

    Parameters
    ----------
    text : str
        ``where=what``: a corner (``1L``), a spot (``hat``), both (``1L.hat``) or ``all``; a surface of the
        catalogue or an emissivity.
    catalogue : Catalogue
    place_word : callable
        Takes the words of a wheel and of a spot apart; None for words that name no wheel of any log.

    Returns
    -------
    SurfaceChoice

    Raises
    ------
    PolicyError
        No such corner, spot or surface, or an emissivity that is none.

    Examples
    --------
    >>> choice = surface_choice("1L.hat=red_rust", usual_surfaces())
    >>> choice.corner, choice.spot, choice.surface.emissivity
    ('1L', 'hat', 0.73)
    """
    place, _, what = text.partition("=")
    surface = _named_surface(what.strip(), text, catalogue)
    if place.strip() == "all":
        return SurfaceChoice(surface=surface)
    parts = place.strip().split(".")
    spot = next((known for known in SPOTS if known in parts), None)
    word = ".".join(part.strip() for part in parts if part != spot)
    if not word and spot:
        return SurfaceChoice(surface=surface, spot=spot)
    if _is_corner(word):
        return SurfaceChoice(surface=surface, corner=word, spot=spot)
    named = place_word(word)
    if named is None:
        msg = f'"{text}": "{word}" is neither a wheel such as 1L nor one of {", ".join(SPOTS)} nor all'
        raise PolicyError(msg)
    return SurfaceChoice(surface=surface, word=named[0], spot=spot or named[1])


def _is_corner(word: str) -> bool:
    return word[-1:] in SIDES and word[:-1].isascii() and word[:-1].isdigit() and int(word[:-1]) > 0


def _named_surface(what: str, text: str, catalogue: Catalogue) -> Surface:
    if what in catalogue.surfaces:
        return catalogue.surfaces[what]
    try:
        value = float(what)
    except ValueError:
        value = math.nan
    if not 0.0 < value <= 1.0:
        msg = (
            f'"{text}": "{what}" is neither an emissivity nor one of {", ".join(sorted(catalogue.surfaces))}'
        )
        raise PolicyError(msg)
    return Surface(name=what, emissivity=value, spread=catalogue.stated_spread, band="", source="stated")

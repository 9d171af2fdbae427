"""The one page of the server, whole: style, script and the order of every round are in it."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

import msgspec
from msgspec import Struct

from thermlog.pages.rendering import PageSetup, render
from thermlog.taking.vehicleform import MOST_AXLES
from thermlog.taking.wheelorder import round_order
from thermlog.words.seenwords import OF_VEHICLE, SEEN_WORDS
from thermlog.words.vehicle import SPOTS, Spot

FOLDER = Path(__file__).parent / "templates"
_POLICY = re.compile(r'http-equiv="Content-Security-Policy" content="([^"]*)"')


class BayPage(Struct, frozen=True, kw_only=True):
    """What the template needs.

    Attributes
    ----------
    rounds : str
        JSON: number of axles -> wheels of the first two rounds, for a walk that begins without the server.
    most_axles : int
    spots : tuple of str
        What can be aimed at.
    sights : tuple of str
        What can be seen or noticed.
    of_vehicle : tuple of str
        Which of them are of the vehicle, not of a wheel.
    """

    rounds: str
    most_axles: int = MOST_AXLES
    spots: tuple[Spot, ...] = SPOTS
    sights: tuple[str, ...] = tuple(SEEN_WORDS.values())
    of_vehicle: tuple[str, ...] = tuple(words for code, words in SEEN_WORDS.items() if code in OF_VEHICLE)


@lru_cache(maxsize=1)
def bay_page() -> tuple[str, str]:
    """The page, and its content policy for the header."""
    rounds = {n: [*round_order(n, 0), *round_order(n, 1)] for n in range(1, MOST_AXLES + 1)}
    setup = PageSetup(
        title="Walk round: readings", styles=("bay.css",),
        scripts=("walkstore.js", "walkclock.js", "bay.js"), folder=FOLDER, connects=True,
    )  # fmt: skip
    html = render("bay.html", setup, BayPage(rounds=msgspec.json.encode(rounds).decode()))
    found = _POLICY.search(html)
    policy = "" if found is None else found[1].replace("&#39;", "'")
    return html, f"{policy}; frame-ancestors 'none'"

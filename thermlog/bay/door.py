"""Who may come in: codes that open once, tokens they are exchanged for, and how often somebody may ask."""

from __future__ import annotations

import hmac
import secrets
from collections.abc import Callable
from typing import TypeVar

from msgspec import Struct, field

_Kept = TypeVar("_Kept")

# Own judgement: a finger makes two requests a second, and four phones may share one address.
BURST, EACH_S = 120.0, 30.0
WRONG_CODES, WRONG_WITHIN_S = 5, 60.0
_MOST_GUESTS = 40
_MOST_ADDRESSES = 2000


class Door(Struct, kw_only=True):
    """The door of a server on the shop's network.

    Attributes
    ----------
    now : callable
        Steady clock [s].
    code : str
        Opens once; a new one is made when it has been used.
    tokens : list of str
        Of everybody who came in.
    """

    now: Callable[[], float]
    code: str = field(default_factory=lambda: secrets.token_urlsafe(9))
    tokens: list[str] = field(default_factory=list)
    wrong_s: dict[str, list[float]] = field(default_factory=dict)

    def knock(self, code: str, address: str) -> str | None:
        """Exchange a code for a token; None for a wrong one, a used one, or after too many wrong ones.

        Parameters
        ----------
        code : str
        address : str
            Of the other side.
        """
        if self.closed_to(address):
            return None
        if not hmac.compare_digest(code.encode(), self.code.encode()):
            _make_room(self.wrong_s)
            self.wrong_s.setdefault(address, []).append(self.now())
            return None
        self.code = secrets.token_urlsafe(9)
        token = secrets.token_urlsafe(24)
        self.tokens = [*self.tokens[-_MOST_GUESTS + 1 :], token]
        return token

    def closed_to(self, address: str) -> bool:
        """True while an address has tried too many wrong codes."""
        lately = [at for at in self.wrong_s.get(address, ()) if self.now() - at < WRONG_WITHIN_S]
        if lately:
            self.wrong_s[address] = lately
        else:
            self.wrong_s.pop(address, None)
        return len(lately) >= WRONG_CODES

    def knows(self, token: str) -> bool:
        """True for a token that was given out."""
        given = token.encode("utf-8", "replace")
        return any(hmac.compare_digest(given, one.encode()) for one in self.tokens)


class Pace(Struct, kw_only=True):
    """How often each address may ask: some at once, then so many a second."""

    now: Callable[[], float]
    left: dict[str, tuple[float, float]] = field(default_factory=dict)

    def allows(self, address: str) -> bool:
        """Count one request; False where there were too many."""
        at = self.now()
        left, before = self.left.get(address, (BURST, at))
        left = min(left + (at - before) * EACH_S, BURST)
        _make_room(self.left)
        self.left[address] = (left - 1.0 if left >= 1.0 else left, at)  # what is refused costs nothing
        return left >= 1.0


def _make_room(by_address: dict[str, _Kept]) -> None:
    """Forget the oldest address where there are too many."""
    if len(by_address) >= _MOST_ADDRESSES:
        by_address.pop(next(iter(by_address)))

"""What was seen or smelt, and plainly not at this vehicle: at another one, or fuel in the yard."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from thermlog.reading.cellwords import cell_words
from thermlog.words.seenwords import SeenCode


def is_elsewhere(tokens: Sequence[str], code: SeenCode) -> bool:
    """True where a part of a remark says nothing but that it was at another vehicle.

    Examples
    --------
    >>> is_elsewhere("THE LORRY IN THE NEXT BAY WAS SMOKING".split(), "smoke")
    True
    >>> is_elsewhere("SMOKES MORE THAN THE OTHER LORRY".split(), "smoke")
    False
    """
    table = cell_words()
    said = [token for token in tokens if table.seen.get(token) != code]
    left = list(_beside(said, table.other_vehicle))
    if len(left) < len(said):
        return table.bystander.union(table.between).issuperset(left)
    fuel = not table.fuels.isdisjoint(said) and not table.premises.isdisjoint(said)
    return code == "smell" and fuel and (table.fuels | table.premises | table.between).issuperset(said)


def _beside(tokens: Sequence[str], phrases: frozenset[str]) -> Iterator[str]:
    """Tokens that spell none of some words, alone or with the next."""
    k = 0
    while k < len(tokens):
        if "".join(tokens[k : k + 2]) in phrases:
            k += 2
            continue
        if tokens[k] not in phrases:
            yield tokens[k]
        k += 1

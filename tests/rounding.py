"""Records with their numbers rounded: sums over a batch of another size differ in the last digits."""

from __future__ import annotations

from msgspec import Struct


def rounded(value: object) -> object:
    """A record, a list or a number; numbers to nine digits."""
    match value:
        case float():
            return float(f"{value:.9g}")
        case Struct():
            return {name: rounded(getattr(value, name)) for name in value.__struct_fields__}
        case dict():
            return {key: rounded(one) for key, one in value.items()}
        case list() | tuple():
            return [rounded(one) for one in value]
        case _:
            return value

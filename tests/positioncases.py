"""Position texts read in one go, for the tests of positions."""

from thermlog.reading.positions.resolve import (
    PositionRules,
    resolve_positions,
)


def corners(texts, **rules):
    """Corner of each text as one string, "?" where it is refused."""
    texts = texts.split() if isinstance(texts, str) else list(texts)
    read = resolve_positions(texts, PositionRules(**rules))
    assert read.known.keys() | read.problems.keys() == set(texts)
    assert not read.known.keys() & read.problems.keys()
    return " ".join(f"{read.known[t].axle}{read.known[t].side}" if t in read.known else "?" for t in texts)


def problem(texts, text, **rules):
    return resolve_positions(texts.split(), PositionRules(**rules)).problems[text].problem

"""Does the guided search find the cause, and sooner than a fixed order or a greedy one?

    python bench/narrow_sessions.py [--each 60] [--seed report] [--same-again 0.5] [--cause CAUSE | --write]

Every cause, on every kind of brake that can have it and as every verdict it shows itself as, is looked for in
simulated sessions: once with the usual answer of the cause to every check, and `--each` times a cause with
one answer in ten another one, drawn from the row of the cause. Which brake is fitted is seen and never wrong.
Three ways to choose the next check meet the same answers under the same gates and stop by the same rule:

- thermlog: expected information per minute,
- textbook: a fixed order, look, turn, parking brake, pins, pads, the rest, the pressure ladder last,
- greedy: the check that best confirms the cause that is likeliest at the moment, whatever it costs.

All three make the check on which the name hangs once more before they end. The second answer errs as often as
the first; of the errors `--same-again` are made again just as they were.

`--write` puts the table into docs/narrow.md. Rules are chosen with sessions of another seed (`--seed tune`).
"""

from __future__ import annotations

import argparse
import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from multiprocessing import Pool
from pathlib import Path
from statistics import mean

from msgspec import Struct
from narrow_cases import TABLE, Case, cases
from narrow_search import ORDERS, Ended, Luck, Node, session

from thermlog.advice.search import advanced, begun

PAGE = Path(__file__).parents[1] / "docs" / "narrow.md"
HEAD, TAIL = "<!-- sessions: made by bench/narrow_sessions.py -->", "<!-- end of sessions -->"
WRONG = 0.1  # share of answers that are not the usual one
GROUPS: Mapping[str, Callable[[Case], str]] = {
    "verdict": lambda case: f"`{case.verdict}`",
    "kind of brake": lambda case: TABLE.brake_words[case.kind],
    "cause": lambda case: TABLE.causes[case.cause].short,
}


class Ends(Struct, frozen=True, kw_only=True):
    """How the sessions of some cases ended, for every way to choose: without errors, and with some."""

    sure: dict[str, list[Ended]]
    erring: dict[str, list[Ended]]


def ends(case: Case, each: int, luck: Luck) -> Ends:
    """All sessions of one case; each place is a session of its own."""
    roots = []
    for place in case.places:
        search = begun(place)
        for one in case.known:
            search = advanced(search, one.check, one.answer)
        roots.append(Node(search))
    sure = Luck(wrong=0.0, seed=luck.seed)
    return Ends(
        sure={name: [session(root, case, 0, by, sure) for root in roots] for name, by in ORDERS.items()},
        erring={
            name: [session(roots[n % len(roots)], case, n, by, luck) for n in range(each)]
            for name, by in ORDERS.items()
        },
    )


def all_ends(each: int, luck: Luck, only: str | None = None) -> dict[Case, Ends]:
    """Sessions of every case; a cause has `each` or a few more that err, shared by its cases."""
    every = [case for case in cases() if only in {None, case.cause}]
    count: dict[str, int] = defaultdict(int)
    for case in every:
        count[case.cause] += 1
    jobs = [(case, math.ceil(each / count[case.cause]), luck) for case in every]
    with Pool(2) as pool:
        return dict(zip(every, pool.starmap(ends, jobs, chunksize=1), strict=True))


def merged(some: Iterable[Ends]) -> Ends:
    """Sessions of several cases in one."""
    joined = Ends(sure={name: [] for name in ORDERS}, erring={name: [] for name in ORDERS})
    for one in some:
        for name in ORDERS:
            joined.sure[name].extend(one.sure[name])
            joined.erring[name].extend(one.erring[name])
    return joined


def row(name: str, found: Ends) -> str:
    """One line of a table."""
    cells = [f"{100 * mean(one.right for one in some):.0f}" for some in found.sure.values()]
    cells += [f"{100 * mean(one.right for one in some):.0f}" for some in found.erring.values()]
    cells += [f"{mean(one.minutes for one in some):.1f}" for some in found.erring.values()]
    return f"| {name} | {' | '.join(cells)} |"


def tables(results: Mapping[Case, Ends]) -> str:
    """By verdict, kind of brake and cause."""
    parts = []
    for title, key in GROUPS.items():
        groups: dict[str, list[Ends]] = defaultdict(list)
        for case, found in results.items():
            groups[key(case)].append(found)
        columns = [f"{word}: {name}" for word in ("none errs", "1 in 10 errs", "min") for name in ORDERS]
        lines = [f"| {title} | {' | '.join(columns)} |", "| --- |" + " ---: |" * len(columns)]
        lines += [row(name, merged(some)) for name, some in groups.items()]
        parts.append("\n".join([*lines, row("**in all**", merged(results.values()))]))
    return "\n\n".join(parts)


def missed(results: Mapping[Case, Ends]) -> str:
    """Cases where thermlog is wrong without an error, or in more than a third of the sessions with some."""
    lines = []
    for case, found in results.items():
        sure, erring = found.sure["thermlog"], found.erring["thermlog"]
        if mean(one.right for one in sure) < 1 or mean(one.right for one in erring) < 2 / 3:
            said: dict[str, int] = defaultdict(int)
            for one in erring:
                said[f"{one.first} ({one.ending})"] += 1
            most = sorted(said.items(), key=lambda pair: -pair[1])[:3]
            never = [f"{one.first} ({one.ending})" for one in sure if not one.right]
            lines.append(f"{case.cause} {case.kind} {case.verdict}: none errs {never}; else {most}")
    return "\n".join(lines)


def renewed(page: str, text: str) -> str:
    """The page with its table anew."""
    before, rest = page.split(HEAD)
    return f"{before}{HEAD}\n\n{text}\n\n{TAIL}{rest.split(TAIL)[1]}"


def main(arguments: Sequence[str] | None = None) -> None:
    """Print the tables, or write them."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--each", type=int, default=60, help="sessions a cause")
    parser.add_argument("--seed", default="report", help="sessions of another seed are others")
    parser.add_argument("--same-again", type=float, default=0.5, help="share of errors that come again")
    parser.add_argument("--cause", choices=list(TABLE.causes), metavar="CAUSE", help="only this one")
    parser.add_argument("--write", action="store_true", help="put the table into docs/narrow.md")
    chosen = parser.parse_args(arguments)
    if chosen.cause and chosen.write:
        parser.error("the table holds all causes: --write without --cause")
    luck = Luck(wrong=WRONG, seed=chosen.seed, comes_again=chosen.same_again)
    results = all_ends(chosen.each, luck, chosen.cause)
    every = merged(results.values())
    count = f"At least {chosen.each} sessions a cause that err, {len(every.erring['thermlog'])} for each way"
    text = f"{count} to choose, {len(results)} cases.\n\n{tables(results)}"
    print(f"{text}\n\nMissed:\n{missed(results)}")
    minutes = (f"{name} {mean(one.minutes for one in some):.1f}" for name, some in every.erring.items())
    print(f"\nMinutes in all: {', '.join(minutes)}")
    if chosen.write:
        PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8"), text), encoding="utf-8")


if __name__ == "__main__":
    main()

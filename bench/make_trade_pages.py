"""Write docs/causes.md and docs/checks.md anew: python bench/make_trade_pages.py [--check]."""

from __future__ import annotations

import sys
from collections.abc import Collection, Iterator
from pathlib import Path

from thermlog.advice.evidence import Cause, EvidenceTable, Observation
from thermlog.advice.evidenceload import evidence_table

DOCS = Path(__file__).parents[1] / "docs"
BASIS = (
    "Written by `python bench/make_trade_pages.py` from `thermlog/advice/`; edit there. Everything here is "
    "engineering judgement, common practice, no source, unless a text names one. thermlog screens; it never "
    "certifies. Limits and procedures come from the service information, and the decision belongs to a "
    "qualified person."
)
GROUPS = {
    "log": "Answered by a log",
    "driver": "Asked of the driver",
    "gun": "With the gun",
    "seat": "From the seat, or under the bonnet",
    "ground": "On the ground",
    "lift": "Lifted",
    "wheel_off": "Wheel or drum off",
}
TENDS = {
    "hot": "a hot brake",
    "cold": "a cold brake",
    "hot_or_cold": "a hot or a cold brake",
    "hub_hot": "a hot hub",
    "either": "a hot, a cold or a usual brake",
}
ONCE = {"wheel": "a wheel", "axle": "an axle", "vehicle": "once a vehicle"}


def pages() -> dict[str, str]:
    """Both pages by file name."""
    table = evidence_table()
    return {
        "causes.md": "\n".join(_causes(table)) + "\n",
        "checks.md": "\n".join(_checks(table)) + "\n",
    }


def stale(docs: Path) -> list[str]:
    """Names of the pages that are not as the evidence files say."""
    return [
        name
        for name, text in pages().items()
        if not (docs / name).is_file() or (docs / name).read_text(encoding="utf-8") != text
    ]


def _causes(table: EvidenceTable) -> Iterator[str]:
    yield f"# Causes\n\n{BASIS}\n\n{len(table.causes)} causes. How they are ranked: [suspects](suspects.md)."
    for key, cause in table.causes.items():
        yield from _cause(key, cause, table)


def _cause(key: str, cause: Cause, table: EvidenceTable) -> Iterator[str]:
    yield f"\n## {cause.name}\n\n`{key}` · makes {TENDS[cause.tends]} · {_kinds(cause.brakes, table)}\n"
    yield f"- **How it comes about.** {cause.how}"
    confirmed = (
        f"[{table.observations[one.check].title}](checks.md#{one.check}): "
        f"{table.observations[one.check].answers[one.answer]}"
        for one in cause.confirms
    )
    yield f"- **What confirms it.** {'; '.join(confirmed)}."
    yield f"- **What to do.** {cause.do}"
    yield f"- **Look at, too.** {cause.also}"
    yield f"- **Caution.** {cause.safety}"
    for kind, card in cause.on.items():
        told = " ".join(one for one in (card.do, card.also, card.safety) if one)
        yield f"- **On a brake that is: {table.brake_words[kind]}.** {told}"


def _checks(table: EvidenceTable) -> Iterator[str]:
    count = len(table.observations)
    yield f"# Checks\n\n{BASIS}\n\n{count} questions. How the next is chosen: [suspects](suspects.md)."
    for source, title in GROUPS.items():
        yield f"\n## {title}"
        for key, asked in table.observations.items():
            if asked.source == source:
                yield from _check(key, asked, table)


def _check(key: str, asked: Observation, table: EvidenceTable) -> Iterator[str]:
    yield f'\n<a id="{key}"></a>\n\n### {asked.title}\n\n{asked.ask.format(place="the wheel")}\n'
    minutes = f"{asked.minutes:g} min {ONCE[asked.once]} · " if asked.minutes else ""
    needs = f"needs {', '.join(table.needs[name] for name in asked.needs)} · " if asked.needs else ""
    yield f"`{key}` · {minutes}{needs}{_kinds(asked.applies_to, table)}\n"
    yield asked.how + "\n"
    yield from (f"- {asked.fact(answer)} → {asked.means[answer]}." for answer, words in asked.answers.items())
    yield f"\n**Caution.** {asked.safety}"


def _kinds(kinds: Collection[str], table: EvidenceTable) -> str:
    if set(kinds) == set(table.kinds):
        return "every kind of brake"
    return ", ".join(table.kinds[kind].words for kind in table.kinds if kind in kinds)


if __name__ == "__main__":
    if "--check" in sys.argv[1:]:
        sys.exit(", ".join(f"{name} is not current" for name in stale(DOCS)) or 0)
    for page, written in pages().items():
        (DOCS / page).write_text(written, encoding="utf-8")
        print(f"{page} written")

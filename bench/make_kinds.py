"""Write the table of fault kinds in docs/suspects.md anew from the registry: python bench/make_kinds.py."""

from __future__ import annotations

from pathlib import Path
from typing import assert_never

from thermlog.words.kinds import FAULT_KINDS, FaultKind
from thermlog.words.policy import load_policy

PAGE = Path(__file__).parents[1] / "docs" / "suspects.md"
HEAD, TAIL = "<!-- kinds: made by bench/make_kinds.py -->", "<!-- end of kinds -->"
COLUMNS = (
    "kind", "what it means", "answers", "shown by", "`th_scope`", "prior weight light, heavy", "never on",
    "simulated",
)  # fmt: skip


def renewed(page: str) -> str:
    """The page with the table as the registry and the bundled policies have it."""
    before, rest = page.split(HEAD)
    return f"{before}{HEAD}\n\n{table()}\n\n{TAIL}{rest.split(TAIL)[1]}"


def table() -> str:
    """One row a kind, in the order of the registry."""
    rows = [COLUMNS, ("---",) * len(COLUMNS), *(row_of(kind) for kind in FAULT_KINDS)]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def row_of(kind: FaultKind) -> tuple[str, ...]:
    never = [f"a {kind.never_on.replace('_', '/')} split"] if kind.never_on else []
    never += ["axles that a motor or a retarder slows too"] if kind.spared else []
    return (
        f"`{kind.name}`",
        kind.meaning,
        question_of(kind),
        what_shows(kind) if kind.is_fault else "-",
        f"`{kind.stands_out}`" if kind.stands_out else "-",
        weights_of(kind),
        ", ".join(never) or "-",
        "yes" if kind.simulated else "no",
    )


def question_of(kind: FaultKind) -> str:
    match kind.asked_of:
        case "drag":
            return "does a brake drag"
        case "idle":
            return "does a brake not work"
        case "heat":
            return "is the whole vehicle hot"
        case None:
            return "both brake questions" if kind.sign == "mixed" else "-"
        case never:
            assert_never(never)


def what_shows(kind: FaultKind) -> str:
    match kind.shown_by:
        case "gap":
            return "left against right"
        case "height":
            return "whole axles beside the others"
        case "hub":
            return "hubs"
        case never:
            assert_never(never)


def weights_of(kind: FaultKind) -> str:
    if kind.weight is None:
        return "-"
    light, heavy = (getattr(load_policy(name), kind.weight) for name in ("light", "heavy"))
    return f"{light:g}, {heavy:g}"


if __name__ == "__main__":
    PAGE.write_text(renewed(PAGE.read_text(encoding="utf-8")), encoding="utf-8")
    print(f"{PAGE.name} written")

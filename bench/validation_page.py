"""The page docs/validation.md: plain words, tables, and which aims are met."""

from __future__ import annotations

import validation_sections as sections
import validation_tables as tables
import validation_words as words
from validation_aims import aims
from validation_results import WORLD_WORDS, Results, table
from validation_worlds import WORLDS

from thermlog.words.policy import BUNDLED, policy_sources


def page(results: Results, *, small: bool) -> str:
    """The whole page."""
    parts = [
        words.OPENING,
        *([words.SMALL_WORDS] if small else []),
        words.AIMS_HEAD,
        aims(results),
        words.PLAN_WORDS,
        tables.by_plan(results),
        words.DETECTION_WORDS,
        tables.detection(results),
        words.DECISION_WORDS,
        *_in_both(results, tables.decisions),
        words.CORNER_WORDS,
        *_in_both(results, tables.corners_and_dead),
        words.MIXED_WORDS,
        tables.mixed_words(results),
        words.CALIBRATION_WORDS,
        tables.calibration(results),
        words.LIMIT_WORDS,
        sections.limits(results),
        words.COAST_WORDS,
        sections.coasts(results),
        words.BOTH_WORDS,
        sections.both_drives(results),
        words.WHOLE_WORDS,
        tables.whole(results),
        words.CHANGES_WORDS,
        sections.changed(results),
        words.LEARNED_WORDS,
        sections.learned(results),
        words.PLAIN_WORDS,
        sections.plain_rule(results),
        words.COVERAGE_WORDS,
        sections.coverages(results),
        words.SKIN_WORDS,
        sections.skin_pairs(results),
        words.LOOK_WORDS,
        sections.looks(results),
        words.POLICY_WORDS,
        policy_numbers(),
    ]
    return "\n\n".join(parts) + "\n"


def _in_both(results: Results, of: tables.InWorld) -> list[str]:
    return [
        part for world in WORLDS for part in (f"**{WORLD_WORDS[world].capitalize()}**", of(results, world))
    ]


def policy_numbers() -> str:
    """Numbers of the bundled policies whose source names this page."""
    listed = [policy_sources(name) for name in BUNDLED]
    leaning = [key for key in listed[0] if any("docs/validation.md" in one[key][2] for one in listed)]
    return table(
        ["number", "unit", *BUNDLED, "source stated in the policy (light)"],
        (
            [f"`{key}`", listed[0][key][1], *(f"{one[key][0]:g}" for one in listed), listed[0][key][2]]
            for key in leaning
        ),
    )

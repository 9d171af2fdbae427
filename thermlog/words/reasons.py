"""Why an answer is what it is, and what would change it: a code, corners and numbers, never a sentence."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, TypeAlias

from msgspec import Struct, field

# Why. Numbers are named in `reasontexts`, the only place that makes sentences of them.
WhyCode: TypeAlias = Literal[
    "stands_out_hot", "stands_out_cold", "unsteady_and_hotter", "both_sides_hot", "both_sides_cold",
    "diagonal_hot", "diagonal_cold", "circuit_cold",
    "circuit_hot", "trailer_hot", "trailer_cold",
    "all_hot", "hot_without_braking", "sunk_without_braking", "settled_by_coast",
    "gap_open", "axles_unlike", "cools_unlike", "below_air", "cold_by_design", "even",
    "limit_below_line", "limit_above_line", "not_enough_heat", "single_reading", "not_read",
    "one_side_read", "spots_differ", "unknown_wheel", "over_range", "under_range", "no_value",
    "set_aside", "no_times", "standing",
    "read_too_late", "aside_hotter", "held", "rising", "no_ambient", "no_brake_read",
    "too_few_readings", "nothing_braked", "nothing_warm", "heat_usual",
    "impossible_pace", "unread_sight", "contradicting_readings", "any_air", "hub_over_mate",
    "hub_over_brake", "hub_alone", "may_be_raised", "hot_after_braking", "hot_though_lifted",
    "drives_contradict", "barely_rolled", "not_read_rolled", "below_air_rolled",
    "visits_calm", "visits_raise", "visits_agree", "today_stands", "part_over_mate", "part_over_others",
    "part_over_brake", "past_line",
    "cools_too_fast", "before_parked", "slowed_otherwise", "clock_moved", "gap_faded", "stop_unknown",
    "stray_hotter", "stray_contradicted", "pulls_unexplained", "pulls_as_found", "abs_lamp_lit",
    "seen_beside",
    "unread_cell", "felt_hot", "said_stuck", "said_idle", "heats_standing", "other_unit",
    "stray_colder", "aside_colder", "stopped_before", "idle_before", "gap_near", "doubted",
    "gap_either_way", "warm_either_way",
]  # fmt: skip
# What became of it, in a later log of the same vehicle. Sentences: `changepatterns`.
ChangeCode: TypeAlias = Literal[
    "gap_below_watch", "gap_smaller_not_even", "gap_still_past_watch", "gap_may_pass_watch",
    "gap_change_unclear", "gap_reversed", "gap_not_comparable", "hub_below_line", "hub_not_below_line",
    "both_sides_less", "both_sides_more", "both_sides_before", "axle_beside_others", "axle_above_others",
    "still_hot", "still_cold", "still_hub", "still_watched",
    "idle_not_told", "less_heat", "drives_unlike", "vehicles_differ", "axles_differ",
    "classes_differ", "nothing_flagged_before", "spots_changed", "new_fault",
    "new_watch", "new_hub", "found_hub", "now_idle", "maybe_now_idle", "found_hot", "found_cold",
    "new_all_hot", "new_all_warm", "found_all_hot", "found_all_warm", "still_all_hot", "still_all_warm",
    "drives_backwards",
    "was_seen", "was_seen_looked", "was_seen_settled", "was_above_range", "was_above_range_settled",
    "was_past_line", "was_past_line_settled", "was_past_line_unread", "part_not_read", "part_read_otherwise",
    "part_no_more", "read_two_ways", "hub_stopped", "hub_stopped_settled", "hub_not_read",
    "repair_unclear", "repair_unsaid", "even_unrepaired",
]  # fmt: skip
# What to do about it.
DoCode: TypeAlias = Literal[
    "clear_and_wait", "read_again", "read_pair", "read_unread", "another_round", "name_wheel", "name_spots",
    "coast_drive", "drive_with_braking", "mark_and_read", "state_ambient", "state_class", "write_times",
    "wait_and_read", "release_hold", "cool_and_turn", "static_check", "repeat_drive", "check_ambient",
    "look_at_log", "name_sight", "weigh_remark", "keep_record", "drive_loaded", "brake_alone",
    "ask_raised", "ask_stopped",
    "find_cause", "check_bearing", "inspect_hot", "read_part", "read_felt", "read_said", "prove_again",
    "tell_sides", "look_at_hub", "look_at_rim",
    "look_at_tyre", "look_at_caliper", "look_at_face", "read_dry", "correct_parked", "correct_clock",
    "check_supply", "secure_wheel", "read_memory", "compare_forces", "go_by_verification",
    "swap_logs", "state_repair", "try_and_drive",
]  # fmt: skip
ReasonCode: TypeAlias = WhyCode | ChangeCode | DoCode


# What sends the vehicle on a drive; marks are painted on cooled parts and read after one.
DRIVES: frozenset[ReasonCode] = frozenset(
    {
        "coast_drive",
        "drive_with_braking",
        "drive_loaded",
        "brake_alone",
        "repeat_drive",
        "try_and_drive",
        "prove_again",
        "mark_and_read",
        "read_dry",
    }
)

# One thing seen that two readings explain: the one side drags, or the other does too little.
TWO_SIDED: frozenset[ReasonCode] = frozenset(
    {"gap_open", "axles_unlike", "drives_contradict", "gap_either_way"}
)


class Reason(Struct, frozen=True, kw_only=True):
    """One reason, or one thing to do.

    Attributes
    ----------
    code : ReasonCode
    corners : tuple of str
        The corners it is about, the odd one first.
    numbers : dict of str to float
        Named with their unit: ``difference_k``, ``rise_k``, ``limit_k``, ``share_idle``, ``minutes``,
        ``line``.
    quoted : str
        A word of the log that is spoken of, as it stands there, or the name of a part; empty if none.
    """

    code: ReasonCode
    corners: tuple[str, ...] = ()
    numbers: dict[str, float] = field(default_factory=dict)
    quoted: str = ""


def unique_reasons(reasons: Iterable[Reason]) -> tuple[Reason, ...]:
    """Every reason once, in order; they hold numbers by name and so cannot be keys."""
    found: list[Reason] = []
    for reason in reasons:
        if reason not in found:
            found.append(reason)
    return tuple(found)

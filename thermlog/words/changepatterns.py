"""Patterns of what two drives say beside each other; the fields are those of `reasonpatterns`.

``corner`` is the brake that was hotter before and ``mate`` the other one, so that a gap of the same kind as
before is positive.
"""

from __future__ import annotations

from collections.abc import Mapping

from thermlog.words.reasons import ReasonCode

_NOW = "{corner} minus {mate}: {before_k} before, {difference_k} now ({low_k:bare} to {high_k:bare}), "
_HUB = "hub of {corner}: {before_k} above its neighbour before, {difference_k} now, "
_BEARING = "its bearing is checked before the vehicle moves again, however cool the hub has become"
_SAY_CAUSE = (
    "state the part that caused it, what was done to it, and at which wheel (as in # repair: new caliper RR)"
)
_UNREAD = "what was not read is never cleared"

CHANGED: Mapping[ReasonCode, tuple[str, ...]] = {
    # What left against right says
    "gap_below_watch": (
        _NOW + "inside the watch line of {line_k}",
        "{corner} and {mate}: apart by less than the watch line",
        "left and right are apart by less than the watch line",
    ),
    "gap_smaller_not_even": (
        _NOW + "clearly less, but even is within {line_k}",
        "{corner} minus {mate}: clearly less than before, and not shown to be even",
        "left and right are clearly less apart than before, and not shown to be even",
    ),
    "gap_still_past_watch": (
        _NOW + "still past the watch line of {line_k}",
        "{corner} minus {mate}: still past the watch line",
        "left and right are still apart by more than the watch line",
    ),
    "gap_may_pass_watch": (
        _NOW + "which may still be past the watch line of {line_k}",
        "{corner} minus {mate}: may still be past the watch line",
        "left and right may still be apart by more than the watch line",
    ),
    "gap_change_unclear": (
        _NOW + "no clear change",
        "{corner} minus {mate}: no clear change",
        "left against right shows no clear change",
    ),
    "gap_reversed": (
        _NOW + "turned round and past the watch line of {line_k}",
        "{corner} minus {mate}: turned round and past the watch line",
        "the gap has turned round and is past the watch line",
    ),
    "gap_not_comparable": (
        "{corner} could not be set against {mate} in both logs",
        "left could not be set against right in both logs",
    ),
    "hub_below_line": (
        _HUB + "at most {high_k} (line {line_k})",
        "hub of {corner}: below the line now",
        "the hub is below the line now",
    ),
    "hub_not_below_line": (
        _HUB + "up to {high_k} (line {line_k})",
        "hub of {corner}: not shown to be below the line",
        "the hub is not shown to be below the line",
    ),
    "axle_beside_others": (
        "{corners}: {share_before} of the heat of the other axles before, {share_now} now ({share_low} to "
        "{share_high})",
        "both sides have another part of the heat of the other axles than before",
    ),
    "axle_above_others": (
        "{corners}: {before_k} above the other axles before, {difference_k} now ({low_k:bare} to "
        "{high_k:bare})",
        "both sides are less above the other axles than before",
    ),
    "both_sides_less": (
        "{corners}: both hot before and hot no longer; no like drive of sound axles shows more",
        "both sides were hot before and are no longer; no like drive of sound axles shows more",
    ),
    "both_sides_more": (
        "{corners}: both cold before and cold no longer; no like drive of sound axles shows more",
        "both sides were cold before and are no longer; no like drive of sound axles shows more",
    ),
    "both_sides_before": (
        "{corners}: both stood out before; left against right cannot show what became of them",
        "both sides stood out before; left against right cannot show what became of them",
    ),
    # What still is, or is no longer known
    "still_hot": ("{corners} still hot", "still hot"),
    "still_cold": ("{corners} still cold", "still cold"),
    "still_hub": ("hub of {corner} still hot", "a hub is still hot"),
    "still_watched": ("{corners} still to be watched", "still to be watched"),
    "idle_not_told": (
        "whether {corners} work now cannot be told",
        "whether the brakes work now cannot be told",
    ),
    "less_heat": (
        "the other brakes hold {share_heat} of their earlier heat: gentler drives make smaller gaps",
        "a gentler drive than before makes smaller gaps",
    ),
    "drives_unlike": (
        "unlike drives ({quoted}): what became of a fault shows after the same drive",
        "unlike drives: what became of a fault shows after the same drive",
    ),
    "vehicles_differ": (
        "{quoted} are not one vehicle: no before and after, each is judged by itself",
        "the logs name different vehicles: no before and after, each is judged by itself",
    ),
    "axles_differ": (
        "{axles_before} axles, then {axles_now}: the vehicles do not match, so no before and after; each log "
        "is judged by itself",
        "another number of axles: the vehicles do not match, so no before and after",
    ),
    "classes_differ": (
        "{quoted} vehicle: they do not match, so no before and after; each log is judged by itself",
        "another class of vehicle: they do not match, so no before and after",
    ),
    "drives_backwards": (
        "{quoted}: a drive made before the other proves nothing of it; swap the logs, or name a later drive",
        "the last drive was made before the first and proves nothing of it",
    ),
    "read_two_ways": (
        "{corner} reads {high_degc} and {low_degc} at the same moment: nobody knows which is right",
        "one brake is read two ways at the same moment, and nobody knows which is right",
    ),
    "nothing_flagged_before": ("nothing stood out here in the first log",),
    # What stopped the vehicle before
    "was_seen": (
        "{quoted} at {corner} before, of now nothing is said; its cause has not been shown",
        "{quoted} before, of now nothing is said; its cause has not been shown",
        "something was seen before, of now nothing is said; its cause has not been shown",
    ),
    "was_seen_looked": (
        "{quoted} at {corner} before, not now; its cause has not been shown",
        "{quoted} before, not now; its cause has not been shown",
        "what was seen before is not seen now; its cause has not been shown",
    ),
    "was_seen_settled": (
        "{quoted} at {corner} before, not now, and its cause is found",
        "{quoted} before, not now, and its cause is found",
        "what was seen before is not seen now, and its cause is found",
    ),
    "repair_unclear": (
        'cannot tell: what the log says of the repair ("{quoted}") does not say that a cause of it at '
        "{corners} was found and put right; " + _SAY_CAUSE,
        'cannot tell: what the log says of the repair ("{quoted}") does not say that a cause was found and '
        "put right; " + _SAY_CAUSE,
        "cannot tell: what the log says of the repair does not say that a cause was found and put right; "
        + _SAY_CAUSE,
    ),
    "even_unrepaired": (
        '{corners} even again without a repair that would explain it ("{quoted}"): it may come and go',
        "even again without a repair that would explain it: it may come and go",
    ),
    "repair_unsaid": (
        "the log does not say what was mended at {corners}: without a repair it may come and go",
        "the log does not say what was mended: without a repair it may come and go",
    ),
    "was_above_range_settled": (
        "the gun was above its range at {corner} before, {now_degc} now, and the cause is found: what was so "
        "hot is inspected before it is used again",
        "the gun was above its range before, and the cause is found: what was so hot is inspected before it "
        "is used again",
    ),
    "hub_stopped_settled": (
        "hub of {corner} {before_degc} before, {now_degc} now, and the cause is found: the bearing is "
        "inspected, or new",
        "a hub stood out before, and the cause is found: the bearing is inspected, or new",
    ),
    "was_above_range": (
        "the gun was above its range at {corner} before, {now_degc} now; why has not been shown",
        "the gun was above its range at {corner} before; why has not been shown",
        "the gun was above its range before; why has not been shown",
    ),
    "was_past_line": (
        "{quoted} of {corner} {before_degc} before, {now_degc} now; why it was so hot has not been shown",
        "{quoted} of {corner} {before_degc} before, not read now; why it was so hot has not been shown",
        "{quoted} {before_degc} before; why it was so hot has not been shown",
        "a part was past an urgent line before; why has not been shown",
    ),
    "was_past_line_settled": (
        "{quoted} of {corner} {before_degc} before, {now_degc} now: all that was so hot is inspected before "
        "it is used again",
        "a part was past an urgent line before: it is inspected before it is used again",
    ),
    "was_past_line_unread": (
        "{quoted} of {corner} {before_degc} before, not read now: " + _UNREAD,
        "a part was past an urgent line before and was not read now: " + _UNREAD,
    ),
    # What was watched beside the brakes before
    "part_not_read": (
        "{quoted} of {corner} {difference_k} above that of {mate} before, not read with it now: " + _UNREAD,
        "{quoted} of {corner} {difference_k} above those of other axles before, not read with them now: "
        + _UNREAD,
        "a part stood out before and was not read now: " + _UNREAD,
    ),
    "part_read_otherwise": (
        "{quoted} of {corner} {difference_k} above that of {mate} before; a drive of another kind, or a "
        "gentler one, does not clear it",
        "{quoted} of {corner} {difference_k} above those of other axles before; a drive of another kind, or "
        "a gentler one, does not clear it",
        "a part stood out before; a drive of another kind, or a gentler one, does not clear it",
    ),
    "part_no_more": (
        "{quoted} of {corner} {difference_k} above that of {mate} before, not past the mark of {mark_k} now",
        "{quoted} of {corner} {difference_k} above those of other axles before, not past the mark of "
        "{mark_k} now",
        "a part stood out before and is not past its mark now",
    ),
    "hub_stopped": (
        "hub of {corner} {before_degc} before, {now_degc} now: " + _BEARING,
        "hub of {corner} {before_degc} before, not read now: " + _BEARING,
        "hub of {corner} stood out before: " + _BEARING,
        "a hub stood out before: " + _BEARING,
    ),
    "hub_not_read": (
        "hub of {corner}: not read now, and " + _UNREAD,
        "a hub was not read now, and " + _UNREAD,
    ),
    "spots_changed": (
        "{corners}: read at another spot than before ({quoted}), and each shows a heat of its own",
        "read at another spot than before, and each shows a heat of its own",
    ),
    # What is new
    "new_fault": ("{corner} is hot now and was not before", "a brake is hot now and was not before"),
    "new_watch": (
        "{corner} is to be watched now and was not before",
        "a brake is to be watched now and was not before",
    ),
    "new_all_hot": ("the whole vehicle is hot now and was not before",),
    "new_all_warm": ("the whole vehicle is warmer than usual now and was not before",),
    "found_all_hot": ("the whole vehicle is hot now; the first log could not tell",),
    "found_all_warm": ("the whole vehicle is warmer than usual now; the first log could not tell",),
    "still_all_hot": ("the whole vehicle still hot",),
    "still_all_warm": ("the whole vehicle still warmer than usual",),
    "new_hub": (
        "hub of {corner} is hot now and was not before",
        "a hub is hot now and was not before",
    ),
    "found_hub": (
        "hub of {corner} is hot now; it was not read before, or not well",
        "a hub is hot now; it was not read before, or not well",
    ),
    "now_idle": (
        "{corner} does too little now and did not before",
        "a brake does too little now and did not before",
    ),
    "maybe_now_idle": (
        "{corner} may do too little now and did not before",
        "a brake may do too little now and did not before",
    ),
    "found_hot": (
        "{corner} is hot now; the first log could not tell",
        "a brake is hot now; the first log could not tell",
    ),
    "found_cold": (
        "{corner} does too little now; the first log could not tell",
        "a brake does too little now; the first log could not tell",
    ),
}  # fmt: skip

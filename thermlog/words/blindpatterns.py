"""Patterns of why a brake could not be judged, or not well; the fields are those of `reasonpatterns`."""

from __future__ import annotations

from collections.abc import Mapping

from thermlog.words.reasons import ReasonCode

NOT_READ: Mapping[ReasonCode, tuple[str, ...]] = {
    "not_read": (
        "{corners}: not read, and a brake that was not read is never cleared",
        "a brake was not read, and is not cleared",
    ),
    "one_side_read": (
        "{corner} was read, {mate} was not: there is nothing to compare it with",
        "only one side of an axle was read: there is nothing to compare it with",
    ),
    "spots_differ": (
        "{corner} and {mate} were read at different spots, which do not compare: neither is cleared",
        "the sides were read at different spots, which do not compare: neither is cleared",
    ),
    "no_brake_read": ("no brake was read, only hubs, rims or tyres",),
    "single_reading": (
        "{corners}: {readings} readings of which not all agree, and one that missed looks just like it",
        "{corner} and {mate}: one reading each, and a reading that missed looks just like it",
        "{corner}: one reading, or one odd one of two; a reading that missed looks just like it",
        "one reading stands behind this, and a reading that missed looks just like it",
    ),
    "too_few_readings": (
        "{corners}: {readings} readings, {needed} are needed",
        "{corners}: too few readings",
        "too few readings",
    ),
    "unknown_wheel": (
        'lines {line} to {last_line}, {readings} readings: "{quoted}" is not understood: '
        "a wheel nobody knows is never cleared",
        'lines {line} and {next_line}: "{quoted}" is not understood: a wheel nobody knows is never cleared',
        'line {line}: "{quoted}" is not understood: a wheel nobody knows is never cleared',
        "lines {line} to {last_line}, {readings} readings: no wheel is named: "
        "a wheel nobody knows is never cleared",
        "lines {line} and {next_line}: no wheel is named: a wheel nobody knows is never cleared",
        "line {line}: no wheel is named: a wheel nobody knows is never cleared",
        "a reading names no wheel: a wheel nobody knows is never cleared",
    ),
    "unread_sight": (
        'line {line}: "{quoted}" was noted, and thermlog does not know what that means for the brakes: '
        "nothing is cleared beside it",
        "something was seen of which thermlog does not know what it is: nothing is cleared beside it",
    ),
    "pulls_unexplained": (
        "the vehicle {quoted}, and the heat of its brakes does not say why: neither side is cleared by it",
        "the vehicle pulls, and the heat of its brakes does not say why: neither side is cleared by it",
    ),
    "pulls_as_found": (
        "the vehicle {quoted}, as it does if this is so; a pull alone would call nothing",
        "the vehicle pulls, as it does if this is so; a pull alone would call nothing",
    ),
    "abs_lamp_lit": (
        "the ABS lamp is lit: its valves can hold a brake or starve it, on one drive and not on the next",
    ),
    "seen_beside": (
        "{quoted} at {corners}: what the gun showed clears nothing beside it",
        "{quoted}: what the gun showed clears nothing beside it",
        "something was seen, and what the gun showed clears nothing beside it",
    ),
    "over_range": (
        "line {line}: {corner} above the gun's range: may be the hottest wheel",
        "line {line}: a wheel above the gun's range: may be the hottest one",
        "{corner} was above the gun's range: may be the hottest wheel",
        "a wheel was above the gun's range: may be the hottest one",
    ),
    "under_range": (
        "line {line}: {corner} below the gun's range: no temperature, so never cleared",
        "{corner} was below the gun's range: no temperature, so never cleared",
        "a wheel was below the gun's range: no temperature, so never cleared",
    ),
    "no_value": (
        'line {line}: {corner} has no temperature ("{quoted}"): it counts as not read',
        "line {line}: {corner} has no temperature: it counts as not read",
        "{corner} has no temperature: it counts as not read",
        "a wheel has no temperature: it counts as not read",
    ),
    "set_aside": (
        'line {line}: {corner} was set aside ("{quoted}"): it counts as not read',
        "line {line}: {corner} was set aside: it counts as not read",
        "{corners}: readings were set aside and do not vote",
        "readings were set aside and do not vote",
    ),
    "aside_hotter": (
        'line {line}: {value_degc} at {corner} was set aside ("{quoted}"), {above_k} above what else was '
        "read there: it may be true",
        "line {line}: {value_degc} at {corner} was set aside, {above_k} above what else was read there: it "
        "may be true",
        "a reading set aside was hotter than what else was read there: it may be true",
    ),
    "unread_cell": (
        'line {line}: "{quoted}" states {value_degc} at {corner}, more than was read there: it may be true, '
        "and nothing is cleared there",
        'line {line}: what "{quoted}" says of the heat of {corner} thermlog does not know: nothing is '
        "cleared there",
        "line {line}: what stands for the temperature of {corner} is no figure: nothing is cleared there",
        "words stand for a temperature of which thermlog does not know what they say: nothing is cleared "
        "there",
    ),
    "doubted": (
        'line {line}: "{quoted}": what was read at {corner} may not be of its brake, or no true figure: '
        "nothing is cleared there",
        'line {line}: "{quoted}": what was read may not be of the brakes, or no true figures: nothing is '
        "cleared",
        "line {line}: what was read at {corner} may not be of its brake: nothing is cleared there",
        "what was read may not be of the brakes: nothing is cleared",
    ),
    "felt_hot": (
        'line {line}: "{quoted}": a hand felt heat at {corner}, and a hand is no reading: {corner} is not '
        "cleared by what the gun showed",
        "line {line}: a hand felt heat at {corner}, and a hand is no reading: {corner} is not cleared by "
        "what the gun showed",
        "a hand felt heat at a wheel, and a hand is no reading: that wheel is not cleared by what the gun "
        "showed",
    ),
    "said_stuck": (
        'line {line}: "{quoted}": {corner} is said to bind, or something of it to be stuck, and is not '
        "cleared by what the gun showed",
        'line {line}: "{quoted}": a brake is said to bind, or something of it to be stuck, and nobody can '
        "tell which: none is cleared by what the gun showed",
        "line {line}: {corner} is said to bind, or something of it to be stuck, and is not cleared by what "
        "the gun showed",
        "a brake is said to bind, or something of it to be stuck, and is not cleared by what the gun showed",
    ),
    "said_idle": (
        'line {line}: "{quoted}": {corner} is said to do nothing, or felt cold, and is not cleared by what '
        "the gun showed",
        'line {line}: "{quoted}": a brake is said to do nothing, or felt cold, and nobody can tell which: '
        "none is cleared by what the gun showed",
        "line {line}: {corner} is said to do nothing, or felt cold, and is not cleared by what the gun "
        "showed",
        "a brake is said to do nothing, or felt cold, and is not cleared by what the gun showed",
    ),
    "other_unit": (
        'line {line}: "{quoted}" at {corner} is in a unit that no other wheel has; in theirs it would be '
        "{would_be_degc}: either may be true",
        "{corner} is in a unit that no other wheel has: it may have been written down wrongly",
        "a wheel is in a unit that no other wheel has: it may have been written down wrongly",
    ),
    "stray_hotter": (
        "line {line}: {value_degc} at {corner} lies {above_k} above its other readings, and nothing read "
        "since says that it missed: it may be true",
        "a reading lies far above the others of its wheel, and nothing read since says that it missed: it "
        "may be true",
    ),
    "stray_colder": (
        "line {line}: {value_degc} at {corner} lies {below_k} below its other readings, and no more of "
        "them say that it is warm: it may be true",
        "a reading lies far below the others of its wheel, and no more of them say that it is warm: it may "
        "be true",
    ),
    "aside_colder": (
        'line {line}: {value_degc} at {corner} was set aside ("{quoted}"), {below_k} below what else was '
        "read there: it may be true",
        "line {line}: {value_degc} at {corner} was set aside, {below_k} below what else was read there: it "
        "may be true",
        "a reading set aside was colder than what else was read there: it may be true",
    ),
    "stray_contradicted": (
        "line {line}: {value_degc} at {corner} lies {above_k} above its other readings, and what was read "
        "after it says nothing of the kind: it does not count",
        "a reading lies far above the others of its wheel; later ones say nothing of the kind: it does not "
        "count",
    ),
    "before_parked": (
        'line {line}: {value_degc} at {corner} was read at "{quoted}", before the parked moment stated: '
        "one of the two is wrong",
        "line {line}: {corner} was read before the parked moment that is stated: one of the two is wrong",
        "a reading lies before the parked moment that is stated: one of the two is wrong",
    ),
    "held": (
        "{corner} shows {value_degc} {readings} times, to the last digit: a held display, or copied numbers",
        "{corners}: the same number again and again: a held display, or copied numbers",
        "the same number again and again: a held display, or copied numbers",
    ),
    "standing": (
        "{corners}: did not cool while read: heat still coming out, a sheltered spot, or a held display",
        "did not cool while read: heat still coming out, a sheltered spot, or a held display",
    ),
    "rising": (
        "{corner} still rose by {rise_k} while it was read: its heat had not come out yet",
        "{corners}: still rising while {it} {was} read: {its} heat had not come out yet",
        "still rising while it was read: the heat had not come out yet",
    ),
    "clock_moved": (
        "{hours} h lie between lines {before} and {line}, and the brakes kept more heat than in such a time: "
        "two drives? Then write `# drive: ...` over each; else the clock was moved, or a time is wrong",
        "{minutes} min lie between lines {before} and {line}, and the brakes kept more heat than in such a "
        "time: two drives? Then write `# drive: ...` over each; else the clock was moved, or a time is wrong",
        "the brakes kept more of their heat than the times allow: the clock was moved, or a time is wrong",
    ),
    "impossible_pace": (
        "lines {line} and {next_line}: nobody reads two wheels so soon, or so late, after one another: the "
        "times are not what they seem",
        "line {line}: {corner} changed by {change_k} in {seconds} s, faster than any brake does",
        "{corner} changed by {change_k} in {seconds} s, faster than any brake does",
        "line {line}: nobody reads the wheels of its columns so soon, or so late, after one another: the "
        "times are not what they seem",
        "{corners}: {changes} faster than any brake does",
        "temperatures change faster than those of any brake",
    ),
    "contradicting_readings": (
        "{corner} reads {low_degc:bare} and {high_degc} within {minutes} min: one of them may be wrong, or "
        "it still heats",
        "{corner} reads {low_degc:bare} and {high_degc}: one of them may be wrong, or it still heats",
        "{corners}: readings contradict each other",
        "readings contradict each other",
    ),
    "warm_either_way": (
        "{corners}: readings contradict each other, but the coldest is as warm as a working brake",
        "readings contradict each other, but the coldest is as warm as a working brake",
    ),
    "heats_standing": (
        "{corner} rose from {low_degc:bare} to {high_degc} while it stood, more than heat soaks out: "
        "something may burn there, or the readings are not of one place",
        "{corners}: hotter and hotter while they stood: something may burn there, or the readings are not of "
        "one place",
        "brakes grew hotter and hotter while they stood: something may burn there",
    ),
    "hub_over_mate": (
        "hub of {corner} {difference_k} above its mate (mark {mark_k}): points to the bearing",
        "hub of {corner} above its mate: points to the bearing",
        "a hub is above its mate: points to the bearing",
    ),
    "hub_over_brake": (
        "hub of {corner} {difference_k} above the brake beside it (mark {mark_k}): points to the bearing",
        "hub of {corner} above the brake beside it: points to the bearing",
        "a hub is above the brake beside it: points to the bearing",
    ),
    "stopped_before": (
        "it was stopped on {quoted}, and nothing says what was mended since: one even walk does not explain "
        "that",
        "it was stopped before, and nothing says what was mended since: one even walk does not explain that",
    ),
    "idle_before": (
        "{corners} did too little on {quoted}, and nothing says what was mended since",
        "{corners} did too little before, and nothing says what was mended since",
        "a brake did too little before, and nothing says what was mended since",
    ),
    "visits_calm": (
        "earlier drives of this vehicle ({visits}) show this as usual for it: {share_with}, by this log "
        "alone {share_alone}",
        "earlier drives of this vehicle show this as usual for it",
    ),
    "visits_raise": (
        "earlier drives of this vehicle ({visits}) were not so: {share_with}, by this log alone "
        "{share_alone}",
        "earlier drives of this vehicle were not so",
    ),
    "visits_agree": (
        "earlier drives of this vehicle ({visits}) count: {share_with}, by this log alone {share_alone}",
        "earlier drives of this vehicle count",
    ),
    "today_stands": (
        "earlier drives of this vehicle ({visits}) would make {share_with} of {share_alone}: what this log "
        "calls by itself stands",
        "earlier drives of this vehicle speak against it: what this log calls by itself stands",
    ),
    "cools_too_fast": (
        "{corners}: two thirds of the heat gone every {minutes} min, as no brake cools by itself: wet, or "
        "the gun saw something else, or the air is not as stated",
        "{corners}: heat gone as fast as no brake cools by itself: wet, or the gun saw something else",
        "heat gone as fast as no brake cools by itself: wet, or the gun saw something else",
    ),
    "part_over_mate": (
        "{quoted} of {corner} {difference_k} above its mate (mark {mark_k}), beyond what their "
        "brakes differ by",
        "{corner} {difference_k} above its mate there (mark {mark_k}), more than the brakes differ by",
        "a part is above its mate by more than the brakes differ by",
    ),
    "part_over_others": (
        "{quoted} of {corner} {difference_k} above the same of the other axles (mark {mark_k}), more than "
        "their brakes differ by",
        "{corner} {difference_k} above the other axles there (mark {mark_k}), more than the brakes differ by",
        "a part is above the same of the other axles by more than the brakes differ by",
    ),
    "part_over_brake": (
        "{quoted} of {corner} {difference_k} above its own brake (mark {mark_k}), which should be the warmer",
        "{corner} {difference_k} there above its own brake (mark {mark_k}), which should be the warmer",
        "a part is above its own brake, which should be the warmer",
    ),
    "past_line": (
        "{quoted} of {corner}: {value_degc}, past the line of {limit_degc} that stops the vehicle",
        "{quoted} of {corner}: past the line that stops the vehicle",
        "a reading is past the line that stops the vehicle",
    ),
    "hub_alone": (
        "hub of {corner}: the hub of the other side was not read",
        "the hub of the other side was not read",
    ),
}  # fmt: skip

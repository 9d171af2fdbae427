"""Patterns of what to do, in whole sentences; fields as in `reasonpatterns`."""

from __future__ import annotations

from collections.abc import Mapping

from thermlog.words.reasons import ReasonCode
from thermlog.words.seenwords import SEEN_CHOICES

_HOT = (
    "Do not drive it, and touch nothing yet. Read {} again by gun now, and once more in {{again_minutes}} "
    "min: only heat tells that. "
)
_COOL = "Let it cool until the gun reads below {cool_degc} at every part to be touched; then "
_TURN = (
    "raise and support {corners} by the service information and turn each wheel by hand: free, or dragging?"
)
# Two axles are never in the air together, still less two wheels across the vehicle.
_TURN_APART = (
    "raise and support {here} alone by the service information and turn each wheel by hand: free, or "
    "dragging? Lower it again, and only then do the same, one axle at a time, with {there}."
)
_TURN_EACH = (
    "raise and support one axle after the other by the service information and turn each of its wheels by "
    "hand: free, or dragging?"
)
_STANDING = (
    "Do not drive it on the road. With the vehicle chocked and every part to be touched below {cool_degc} by "
    "the gun, "
)
_STANDING_HOT = (
    "Do not drive it on the road, and touch nothing yet: let it cool, nobody nearer to a wheel than the gun "
    "needs. Read {} again by gun in {{again_minutes}} min. Once every part to be touched is below "
    "{{cool_degc}} by the gun, with the vehicle chocked, "
)
_WORKS = (
    "check {corners} standing: does the brake get its force, is the stroke or adjustment within its limit, "
    "does it grip?"
)
_WORKS_EACH = (
    "check the cold brakes standing: do they get their force, is the stroke or adjustment within its limit, "
    "do they grip?"
)

_AGAIN = (
    "Read {} of {{corner}} and of {{mate}} again now, never from the sidewall. If {{corner}} stays the "
    "warmer one, it is not driven before this is found: "
)
_BESIDE = (
    "Read {} of {{corner}} and of {{mate}} now, one right after the other, never from the sidewall. If "
    "{{corner}} stays as far above {{mate}} or its own brake, it is not driven before this is found: "
)
_TURN_IT = "let it cool, raise and support it by the service information and turn the wheel by hand: "

_STATE_IT = (
    " In the log of the drive after it state what was found and mended (# repair: ...), and what was seen "
    "(# seen: nothing, if so)."
)
_LIKE_FIRST = "make a drive like the {} again, same braking, same load, and read every brake at once"
_BRAKES_ALONE = "Drive again with retarder or motor braking off, or as low as it goes, with "
TO_DO: Mapping[ReasonCode, tuple[str, ...]] = {
    # Do: with the gun
    "clear_and_wait": (
        "Nobody goes near ({quoted}). No work and no drive until that has stopped and it has cooled; then "
        "read every wheel again, coming from ahead or behind, never at a sidewall.",
        "No drive and no work at any wheel: keep clear, wait {minutes} min, then read every wheel again, "
        "coming from ahead or behind, never at a sidewall.",
        "No drive and no work at any wheel: keep clear, wait, then read every wheel again, coming from ahead "
        "or behind, never at a sidewall.",
    ),
    "read_again": (
        "Read {corner} again now, close and square on, then {others}, and measure the air again in the "
        "shade: {corner} reads {below_k} below the air that is stated. Lift nothing before both are right.",
        "Read {corner} again now, close and square on, then {others}.",
        "Read {corner} again now, close and square on, and its mate right after it.",
        "Read every brake again now, close and square on, left and right one right after the other.",
    ),
    "read_pair": (
        "Read {corner} and {mate} one right after the other, same spot, three times in turn.",
        "Read left and right of every axle one right after the other, same spot, three times in turn.",
    ),
    "read_felt": (
        "Touch nothing at {corner}. Read its brake, hub, rim and tyre by gun now, never at a sidewall, and "
        "the same of {mate} right after it: what a hand felt may be another part than the gun was "
        "aimed at.",
        "Touch nothing. Read brake, hub, rim and tyre of that wheel by gun now, never at a sidewall, and the "
        "same of its mate right after it: what a hand felt may be another part than the gun was "
        "aimed at.",
    ),
    "read_said": (
        "Do not drive it, and touch nothing at {corner}. Read its hub, brake, rim and tyre by gun now, from "
        "ahead or behind, never at a sidewall, and the same of {mate} right after it: line {line} says "
        '"{quoted}", and it may be true.',
        "Do not drive it. Read hub, brake, rim and tyre of the wheel that is noted by gun now, coming from "
        "ahead or behind, never at a sidewall, and the same of its mate right after it: what is noted may be "
        "true.",
    ),
    "read_unread": (
        "Read {corners} now, and every other brake once more with it.",
        "Read the brakes that were not read now, and every other one once more.",
    ),
    "another_round": (
        "Walk round once more: every brake, same spots, same order; a drag of {after_k} would then show.",
        "Walk round once more in about {minutes} min: every brake, same spots, same order.",
        "Walk round once more: every brake, same spots, same order.",
    ),
    "wait_and_read": (
        "Wait {minutes} min, then read {corners} again, same spot.",
        "Wait {minutes} min, then read every brake again, same spots.",
        "Wait until the temperatures fall, then read every brake again, same spots.",
    ),
    "release_hold": (
        "Release the gun's hold, pull the trigger anew for every wheel, and read {corners} again.",
        "Release the gun's hold, pull the trigger anew for every wheel, and read every brake again.",
    ),
    "mark_and_read": (
        "Put the same matt black on both, heat-resistant paint or tape on a cooled part, never on a friction "
        "face; after the next drive read {corner} and {mate} there: a drag of {after_k} would then show.",
        "Put the same matt black on both, heat-resistant paint or tape on a cooled part, never on a friction "
        "face; after the next drive read {corner} and {mate} there.",
        "Put the same matt black on left and right, heat-resistant paint or tape on a cooled "
        "part, never on a "
        "friction face; read both there after the next drive.",
    ),
    # Do: in the log
    "name_wheel": (
        'Say which wheel "{quoted}" in line {line} is, and check the log again.',
        "Say which wheel line {line} is about, and check the log again.",
        "Name every wheel in the log, and check it again.",
    ),
    "name_spots": (
        "Say in the log where {corner} and {mate} were aimed at, the same spot of both, or read both there, "
        "and check the log again.",
        "Say in the log where each brake was aimed at, the same spot on both sides, and check it again.",
    ),
    "state_ambient": (
        "Hold a thermometer in the shade beside the vehicle, state the air temperature, and check again.",
    ),
    "check_ambient": (
        "Measure the air again, in the shade, away from engine and exhaust: {ambient_degc} is "
        "stated; correct "
        "it, and check the log again.",
        "Measure the air again, in the shade, away from engine and exhaust; correct what is "
        "stated, and check "
        "the log again.",
    ),
    "ask_raised": (
        "Ask the driver whether axle {axle} was raised on that drive. If it was, state it in the log "
        "(lifted: {axle}) and check the log again; if it was down, its brakes may not work: check them "
        "standing before any drive.",
        "Ask the driver whether the cold axle was raised on that drive. If it was, state it in the log "
        "(lifted) and check the log again; if it was down, its brakes may not work: check them standing "
        "before any drive.",
    ),
    "ask_stopped": (
        "Ask what was found and mended after it was stopped on {quoted}, and state it (# repair: ..., or a "
        "job), then check the log again. If nobody knows, look for it where it was, once cool, before the "
        "vehicle is used.",
        "Ask what was found and mended after it was stopped, and state it (# repair: ..., or a job), then "
        "check the log again. If nobody knows, look for it, once cool, before the vehicle is used.",
    ),
    "state_class": (
        "State the vehicle (axles, disc or drum, light or heavy) and check the log again: the "
        "marks follow it.",
    ),
    "write_times": ("Walk round again and write down the time of each reading, to the minute or better.",),
    "look_at_log": (
        "Look at line {line} of the log, correct what is wrong, and check it again.",
        "Look at the readings that were set aside, correct what is wrong, and check the log again.",
    ),
    "correct_parked": (
        "Correct the parked moment that is stated ({readings} readings lie before it, from line {line} on), "
        "or their times if it is right, and check the log again.",
        "Correct the parked moment that is stated, or the time in line {line}, whichever is wrong, and check "
        "the log again.",
        "Correct the parked moment that is stated, or the times before it, and check the log again.",
    ),
    "correct_clock": (
        "Look at the times from line {line} of the log on: if another drive begins there, write a line "
        "`# drive: ...` over it and over the first one; if the clock was moved, or an hour is wrong, "
        "correct them, and check the log again; if they are right, walk round again.",
        "Look at the times of the log: if the clock was moved, correct them, and check the log again; if "
        "they are right, walk round again.",
    ),
    "state_repair": (
        "State in the log of this drive what was mended at {corners}, and which part (as in # repair: new "
        "caliper RR), then compare again: what is even again without a repair may come and go.",
        "State in the log of this drive what was mended, at which wheel, and which part (as in # repair: new "
        "caliper RR), then compare again: what is even again without a repair may come and go.",
    ),
    "swap_logs": (
        "Compare again with the earlier drive named first, or name a drive that was made later; if a date in "
        "a log is wrong, correct it.",
    ),
    "name_sight": (
        'Look at what "{quoted}" speaks of before the vehicle is driven, say in line {line} what it was in '
        f"words known ({SEEN_CHOICES}), and check the log again.",
        "Look at what was seen before the vehicle is driven, say what it was in words known, and check the "
        "log again.",
    ),
    "weigh_remark": (
        'Weigh first what is noted in line {line}: look at the vehicle for what "{quoted}" speaks of, and '
        "for {more} more; only what is explained lets this log count as the record of a sound vehicle.",
        'Weigh first what is noted in line {line}: look at the vehicle for what "{quoted}" speaks of; only '
        "what is explained lets this log count as the record of a sound vehicle.",
        "Weigh first what is noted beside the readings; only what is explained lets this log count as the "
        "record of a sound vehicle.",
    ),
    "keep_record": (
        "Make sure that the repair took in all that was so hot at {corners}: lining and disc or drum, seals, "
        "boots and hose, fluid, bearing and its grease, rim and tyre. What it did not take in is inspected "
        "by the service information, cold, before the vehicle is used; then keep this log as the record of "
        "today.",
        "Keep this log as the record of today, and read this vehicle again at the next service or when "
        "anything pulls, smells or runs hot.",
    ),
    # Do: on the road
    "coast_drive": (
        "Drive {minutes_low} to {minutes_high} min at a steady pace, slowing by engine and gradient instead "
        "of the brakes, then read every brake at once, {corners} first: what stays hot? A drag of {after_k} "
        "would then show.",
        "Drive {minutes_low} to {minutes_high} min at a steady pace, slowing by engine and gradient instead "
        "of the brakes, then read every brake at once, {corners} first: what stays hot?",
        "Drive at a steady pace, slowing by engine and gradient instead of the brakes, then read every brake "
        "at once, {corners} first: what stays hot? A drag of {after_k} would then show.",
        "Drive at a steady pace, slowing by engine and gradient instead of the brakes, then read every brake "
        "at once, {corners} first: what stays hot?",
        "Drive at a steady pace, slowing by engine and gradient instead of the brakes, then read every brake "
        "again at once: what stays hot?",
    ),
    "drive_with_braking": (
        "Drive again with usual braking, stop, and read every brake within {within} min of stopping, "
        "then all of them once more.",
        "Drive again with about {stops} stops from {from_kmh} km/h, then read every brake at "
        "once: {missing_k} "
        "more is needed.",
        "Drive again with about {stops} usual stops, then read every brake at once: more heat is needed.",
        "Drive again with usual braking, then read every brake at once: {missing_k} more is needed.",
        "Drive again with usual braking, then read every brake twice, at once after parking.",
    ),
    "drive_loaded": (
        "Drive again with the axle of {corners} down and loaded, where possible without braking "
        "by the motor, "
        "and read every brake at once.",
        "Drive again with all axles down and loaded, where possible without braking by the motor, and read "
        "every brake at once.",
    ),
    "brake_alone": (
        _BRAKES_ALONE + "about {stops} stops from {from_kmh} km/h by the brakes, then read every brake at "
        "once: {missing_k} more is needed.",
        _BRAKES_ALONE + "about {stops} stops from {from_kmh} km/h by the brakes, then read every brake at "
        "once.",
        _BRAKES_ALONE + "usual braking, then read every brake at once: {missing_k} more is needed.",
        _BRAKES_ALONE + "usual braking, then read every brake at once.",
    ),
    "repeat_drive": (
        "Drive again at least {minutes_high} min at a steady pace, slowing by engine and gradient instead of "
        "the brakes, and read every brake within {within} min of stopping.",
        "M" + _LIKE_FIRST.format("{quoted}")[1:] + ".",
        "Make the same drive again, same braking, same load, and read every brake at once.",
    ),
    "try_and_drive": (
        "Do not drive it on the road yet. With the vehicle cooled and chocked, "
        + _WORKS
        + " Only if it does, "
        + _LIKE_FIRST.format("first")
        + ".",
        "Do not drive it on the road yet. With the vehicle cooled and chocked, "
        + _WORKS_EACH
        + " Only if they do, "
        + _LIKE_FIRST.format("first")
        + ".",
    ),
    "prove_again": (
        "Before this is kept as proof "
        + _LIKE_FIRST.format("first")
        + ": what comes and goes is even in between."
        + _STATE_IT,
    ),
    # Do: at the wheel
    "cool_and_turn": (
        _HOT.format("brake and hub of {corners} and of the other side") + _COOL + _TURN_APART,
        _HOT.format("brake and hub of {corner} and {others}") + _COOL + _TURN,
        _HOT.format("brake and hub of {corners} and of the other side") + _COOL + _TURN,
        _HOT.format("every brake and hub") + _COOL + _TURN_EACH,
        "Do not drive it. " + _COOL + _TURN_APART,
        "Do not drive it. " + _COOL + _TURN,
        "Do not drive it. " + _COOL + _TURN_EACH,
        "Do not drive it. Let it cool; then " + _TURN_APART,
        "Do not drive it. Let it cool; then " + _TURN,
        "Do not drive it. Let it cool; then " + _TURN_EACH,
    ),
    "tell_sides": (
        "Do not drive it. Read {corner} and {mate} again now, one right after the other, three times in "
        "turn; write left or right by the vehicle's own sides: the hotter one is the one that drags. If both "
        "are cold, raise and support them by the service information and turn each wheel by hand.",
        "Do not drive it. Read left and right of every axle again now, one right after the other; write left "
        "or right by the vehicle's own sides.",
    ),
    "read_part": (
        "Read the {quoted} of {corner} and of {mate} now, same spot, never from the sidewall: what was not "
        "read is never cleared. If {corner} is the warmer one, or all has cooled already, it is not driven "
        "before it is known why: let it cool and look there, even brakes say nothing of it.",
        "Read what stood out before and was not read now, same spot, never from the sidewall: what was not "
        "read is never cleared.",
    ),
    "inspect_hot": (
        "Before it is used again inspect by the service information, cold, what was so hot at {corners}: "
        "lining and disc or drum, seals, boots and hose, fluid (what has boiled is changed), bearing and its "
        "grease, rim and tyre." + _STATE_IT,
        "Before it is used again inspect by the service information, cold, what was so hot: lining and disc "
        "or drum, seals, boots and hose, fluid (what has boiled is changed), bearing and its grease, rim and "
        "tyre." + _STATE_IT,
    ),
    "check_supply": (
        "Do not drive it ({quoted}). Standing, chocked: fluid at its mark, nothing wet underneath, and the "
        "pedal, pressed firmly for half a minute, holds; air brakes: the pressure builds up and holds, and "
        "nothing hisses. What is lost is found before the vehicle moves.",
        "Do not drive it. Standing, chocked: do fluid, pedal and air hold? What is lost is found before the "
        "vehicle moves.",
    ),
    "secure_wheel": (
        "Do not drive it: the wheel at {corners} is taken off its load, and its studs, nuts, holes and faces "
        "are looked at by the service information; what is damaged is renewed, the nuts are tightened to "
        "their torque. Then drive and read again.",
        "Do not drive it: what holds its wheels is looked at by the service information, renewed where it is "
        "damaged, and tightened to its torque. Then drive and read again.",
    ),
    "go_by_verification": (
        "Go by the drive after the repair in this log: what it says is what is left to do. What this drive "
        "found was before it; thermlog compare sets the two side by side.",
    ),
    "read_memory": (
        "Read the fault memory of ABS and brakes before the vehicle goes back on the road, and look at what "
        "it names: sensor, ring, cable or valve. Even brakes do not answer for a system that is off.",
    ),
    "compare_forces": (
        "Measure the braking force of left and right of every axle on a roller bench, and look at tyres, "
        "their pressure and the steering: brakes that are evenly warm do not tell why it pulls.",
    ),
    "find_cause": (
        "Do not drive it before its cause is found: once everything is cool, look at {corners} for what was "
        "noticed or ran so hot, and why; on the drive after it read the {quoted} there, too. An even log "
        "does not tell that." + _STATE_IT,
        "Do not drive it before its cause is found: once everything is cool, look at {corners} for what was "
        "noticed or ran so hot, and why. An even log does not tell that." + _STATE_IT,
        "Do not drive it before its cause is found: once everything is cool, look at every wheel, under the "
        "vehicle, and at pedal, fluid and air for what was noticed or ran so hot, and why. An even log does "
        "not tell that." + _STATE_IT,
    ),
    "check_bearing": (
        "Do not move the vehicle before the bearing of {corners} is checked by the service information, "
        "however cool its hub has become; then read the hubs of both sides, same spot." + _STATE_IT,
        "Do not move the vehicle before the bearing is checked by the service information, however cool its "
        "hub has become; then read the hubs of both sides, same spot." + _STATE_IT,
    ),
    "static_check": (
        _STANDING_HOT.format("{corners}") + _WORKS,
        _STANDING_HOT.format("every brake") + _WORKS_EACH,
        _STANDING + _WORKS,
        _STANDING + _WORKS_EACH,
        "Do not drive it on the road. With the vehicle cooled and chocked, " + _WORKS,
        "Do not drive it on the road. With the vehicle cooled and chocked, " + _WORKS_EACH,
    ),
    "read_dry": (
        "Look whether the brakes are wet, what the gun is aimed at, and what the air is. Dry and aimed at "
        "the brake itself, close and square on, read every brake at once after the same drive, then all of "
        "them once more.",
    ),
    # Do: at a part beside the brake
    "look_at_hub": (
        _BESIDE.format("hub and brake") + _TURN_IT + "has the bearing play, does it run rough or drag, or "
        "does the brake hold the wheel?",
        "Read every hub again now; what stays the warmer one is not driven before its wheel was turned by "
        "hand: bearing or brake?",
    ),
    "look_at_rim": (
        _BESIDE.format("rim, brake (another spot of it, too) and hub") + _TURN_IT + "does the brake hold it, "
        "does the bearing, is the tyre low on air?",
        "Read every rim, brake and hub again now; what stays the warmer one is not driven before its wheel "
        "was turned by hand: brake, bearing or tyre?",
    ),
    "look_at_tyre": (
        _BESIDE.format("tyre, brake and hub") + "let it cool and check pressure, load and damage of the "
        "tyre, then turn the wheel by hand: does the brake hold it, or the bearing?",
        "Read every tyre again now; what stays the warmer one is not driven before its pressure was checked "
        "cold and its wheel turned by hand.",
    ),
    "look_at_caliper": (
        _AGAIN.format("caliper and disc") + _TURN_IT + "does the piston draw back, do the pins slide, does "
        "the hose let the fluid back?",
        "Read every caliper and disc again now; what stays the warmer one is not driven before its wheel was "
        "turned by hand.",
    ),
    "look_at_face": (
        _AGAIN.format("same spot of the brake") + _TURN_IT + "does one pad not draw back, do the pins slide?",
        "Read the same spot of every brake again now; what stays the warmer one is not driven before its "
        "wheel was turned by hand.",
    ),
}  # fmt: skip

"""Patterns of the sentences that reasons become; `reasontexts` puts numbers and corners into them.

Every code has patterns, the most telling first; the first whose fields are all there is spoken, and the last
of each needs none. The names in braces are those of `Reason.numbers`; their endings say how they read:

=================  ==========================================================
``..._k``          a step [K], in the unit of the page; ``:bare`` without it
``..._degc``       a temperature [°C], likewise
``share_...``      a part of one, spoken in per cent
``ratio``          "2.1 to 1"
``times``          "2.3 times"
everything else    a whole number: ``minutes``, ``seconds``, ``line``, counts
=================  ==========================================================

``corner`` is the first corner, ``mate`` the second, ``corners`` all, ``others`` all but the first, ``here``
those on the axle of the first, ``there`` the rest; ``its``, ``it``, ``was`` and ``changes`` agree with
the number of corners; ``quoted`` is the word of the log. What codes say why are
clauses; what they say to do are whole sentences.
"""

from __future__ import annotations

from collections.abc import Mapping

from thermlog.words.blindpatterns import NOT_READ
from thermlog.words.changepatterns import CHANGED
from thermlog.words.dopatterns import TO_DO
from thermlog.words.reasons import ReasonCode

_EITHER_WAY = "rather {mate} does too little, but the other axles do not rule out that {corner} drags"
_SHARES = "{corner} drags {share_drag}, {mate} does too little {share_idle}, unlike surfaces {share_skins}, "
_HELD = "pressure held after braking, unlike surfaces, or a reading off"
_GAP = "{corner} is {difference_k} above {mate} ({low_k:bare} to {high_k:bare})"

TEXTS: Mapping[ReasonCode, tuple[str, ...]] = {
    **CHANGED,
    **NOT_READ,
    **TO_DO,
    # Why: something stands out
    "stands_out_hot": (
        _GAP + ", {ratio}; the other brakes side with {mate}",
        "{corner} is {difference_k} above {mate}; the other brakes side with {mate}",
        "{corner} is {above_k} above what the other brakes lead to expect",
        "{corner} is hotter than such a drive usually leaves a brake",
        "a brake is hotter than expected",
    ),
    "stands_out_cold": (
        "{corner} is {difference_k} below {mate} ({low_k:bare} to {high_k:bare}), {ratio}; "
        "the other brakes side with {mate}",
        "{corner} is {difference_k} below {mate}; the other brakes side with {mate}",
        "{corner} is {below_k} below what the other brakes lead to expect",
        "{corner} is colder than the other brakes lead to expect",
        "a brake is colder than the others lead to expect",
    ),
    "both_sides_hot": (
        "{corners}: both {above_k} above what the other brakes lead to expect ({low_k:bare} to "
        "{high_k:bare})",
        "{corners}: both {above_k} above what the other brakes lead to expect",
        "{corners}: both hotter than the other brakes lead to expect",
        "both sides of an axle are hotter than the other brakes lead to expect",
    ),
    "both_sides_cold": (
        "{corners}: both {below_k} below what the other brakes lead to expect ({low_k:bare} to "
        "{high_k:bare})",
        "{corners}: both {below_k} below what the other brakes lead to expect",
        "{corners}: both colder than the other brakes lead to expect",
        "both sides of an axle are colder than the other brakes lead to expect",
    ),
    "diagonal_hot": (
        "{corners} are hot across the vehicle, {above_k} above what the other two lead to expect",
        "{corners} are hot across the vehicle, their mates are not: brakes of one diagonal circuit",
        "two brakes across the vehicle are hot, their mates are not",
    ),
    "diagonal_cold": (
        "{corners} are cold across the vehicle, {below_k} below what the other two lead to expect",
        "{corners} are cold across the vehicle, their mates are not: brakes of one diagonal circuit",
        "two brakes across the vehicle are cold, their mates are not",
    ),
    "circuit_hot": (
        "{corners} are hot together, {above_k} above what the other brakes lead to expect: one "
        "circuit or valve",
        "{corners} are hot together: one circuit or valve",
        "brakes of one circuit or valve are hot together",
    ),
    "circuit_cold": (
        "{corners} are cold together, {below_k} below what the other brakes lead to expect: one "
        "circuit, valve or line",
        "{corners} are cold together: one circuit, valve or line",
        "brakes of one circuit, valve or line are cold together",
    ),
    "trailer_hot": (
        "{corners} are hot together, {above_k} above what the towing vehicle leads to expect: all brakes "
        "of the trailer, so one cause",
        "{corners} are hot together: all brakes of the trailer, so one cause",
        "all brakes of the trailer are hot together",
    ),
    "trailer_cold": (
        "{corners} are cold together, {below_k} below what the towing vehicle leads to expect: all brakes "
        "of the trailer, so one cause",
        "{corners} are cold together: all brakes of the trailer, so one cause",
        "all brakes of the trailer are cold together",
    ),
    "all_hot": (
        "all brakes read are hot: {rise_k} above the air, usual are {usual_k}",
        "all brakes read are hot: {rise_k} above the air",
        "all brakes read are hot",
    ),
    "hot_without_braking": (
        "{corner} is {rise_k} above the air after a drive without braking (line {line_k})",
        "{corner} is {rise_k} above the air after a drive without braking",
        "{corner} is hot after a drive without braking",
        "a brake is hot after a drive without braking",
    ),
    "sunk_without_braking": (
        "{corners}: down to {rise_k} above the air on the drive without braking",
        "{corners}: cooled down on the drive without braking",
        "cooled down on the drive without braking",
    ),
    "settled_by_coast": (
        "on the drive without braking {corner} stayed {rise_k} above the air and {mate} only {mate_rise_k}",
        "the drive without braking settles it: {corner} stayed {rise_k} above the air",
        "the drive without braking settles it: {corner}",
        "the drive without braking settles it",
    ),
    "hot_after_braking": (
        _GAP + ", {ratio}, after braking, but only {rise_k} above the air without: " + _HELD,
        _GAP + ", {ratio}, after braking, and not without: " + _HELD,
        "{corner} is {difference_k} above {mate} after braking, and not without: " + _HELD,
        "{corners}: hot after braking, and not without: " + _HELD,
        "hot after braking, and not without: " + _HELD,
    ),
    "drives_contradict": (
        "the drives contradict each other: {corner} is {difference_k} above {mate} after braking, {mate} "
        "{other_k} above {corner} without: left and right may be mixed up in one walk, and either may drag",
        "the drives contradict each other: {corner} is hotter than {mate} after braking, and cooler without: "
        "left and right may be mixed up in one walk, and one of the two may drag",
        "the drives contradict each other: left and right may be mixed up in one walk",
    ),
    "barely_rolled": (
        "the drive without braking does not count: its warmest brake is {warmest_k} above the air, as of a "
        "vehicle hardly driven, or read long after",
        "the drive without braking does not count: nothing is warm after it",
    ),
    "below_air_rolled": (
        "{corners}: up to {below_k} below the air that is stated after the drive without braking: a wrong "
        "air or reading",
        "{corners}: below the air that is stated after the drive without braking: a wrong air or reading",
        "a brake reads below the air that is stated after the drive without braking",
    ),
    "not_read_rolled": (
        "{corners}: not read after the drive without braking; the drive with braking alone speaks for it",
        "a brake was not read after the drive without braking; the drive with braking alone speaks for it",
    ),
    "unsteady_and_hotter": (
        "{corner} reads {low_degc:bare} to {high_degc}, {mate} {mate_low_degc:bare} to {mate_high_degc}: "
        "hotter, though not all of these readings make a cooling curve",
        "{corner} reads hotter than {mate}, though not all of their readings make a cooling curve",
        "{corners}: hotter, though not all readings make a cooling curve",
        "hotter, though not all readings make a cooling curve",
    ),
    "hot_though_lifted": (
        _GAP + " on an axle described as raised: that explains a cold brake, never a hot one",
        "{corners}: hot on an axle described as raised, which explains a cold brake, never a hot one",
        "hot on an axle described as raised, which explains a cold brake, never a hot one",
    ),
    "gap_open": (
        _GAP + ", {ratio}: " + _SHARES + "reading off {share_reading}",
        _GAP + ": " + _SHARES + "reading off {share_reading}",
        _GAP + ", {ratio}: it is open which of the two is the odd one",
        "{corner} is {difference_k} above {mate}: it is open which of the two is the odd one",
        "{corner} and {mate} differ: it is open which of the two is the odd one",
        "left and right differ: it is open which side is the odd one",
    ),
    "axles_unlike": (
        "{here} {are_here} {times} as warm as usual beside {there}: {here} {drag_here}, or {there} "
        "{do_there} too little",
        "{here} {are_here} unusually warm beside {there}: {here} {drag_here}, or {there} {do_there} too "
        "little",
        "axles are unlike: one drags, or the other does too little",
    ),
    "cools_unlike": (
        "{corner} and {mate} cool unlike, {times} as fast: another spot, wind, or a hub that feeds heat",
        "{corner} and {mate} cool unlike: another spot, wind, or a hub that feeds heat",
        "{corner} cools unlike the others: another spot, wind, or a hub that feeds heat",
        "brakes cool unlike: another spot, wind, or a hub that feeds heat",
    ),
    "below_air": (
        "{corner} reads {below_k} below the stated air: a brake without any heat, or a wrong air or reading",
        "{corner} reads below the stated air: a brake without any heat, or a wrong air or reading",
        "a brake reads below the stated air: it has no heat, or air or reading is wrong",
    ),
    "may_be_raised": (
        "{corners}: cold, as on an axle that was raised; the log does not say whether it was",
        "an axle that can be raised is cold; the log does not say whether it was raised",
    ),
    "slowed_otherwise": (
        "{corners}: a retarder or motor does part of {its} work, as described: cold is no fault and no proof",
        "a retarder or motor does part of the work, as described: cold is no fault and no proof",
    ),
    "cold_by_design": (
        "{corners}: cold as described (raised, lightly loaded or slowed by the motor), no fault and no proof",
        "cold as described (raised, lightly loaded or slowed by the motor), no fault and no proof",
    ),
    # Why: nothing stands out, or nothing could
    "even": (
        "{corners}: {difference_k} apart ({low_k:bare} to {high_k:bare}), as sound brakes are",
        "{corners}: as alike as sound brakes are",
        "the brakes are as alike as sound brakes are",
    ),
    "limit_below_line": (
        "a drag of {limit_k} or more at {corner} would have shown in this log (line {line_k})",
        "{corner} would have shown a loss of {share_limit} of its work in this log (line {share_line})",
        "a fault worth finding at {corner} would have shown in this log",
        "a fault worth finding would have shown in this log",
    ),
    "limit_above_line": (
        "a drag of up to {limit_k} at {corner} could hide in this log (line {line_k})",
        "a loss of up to {share_limit} of its work at {corner} could hide in this log (line {share_line})",
        "a fault at {corner} could hide in this log",
        "a fault could hide in this log",
    ),
    "read_too_late": (
        "{corners}: first read {minutes} min or more after stopping; past {latest} min a dragging brake may "
        "have cooled",
        "{corners}: first read so long after stopping that a dragging brake may have cooled",
        "read so long after stopping that a dragging brake may have cooled",
    ),
    "gap_faded": (
        _GAP + ", {ratio}, {minutes} min after stopping: as brakes cool, some {once_k} soon after it",
        _GAP + ", {ratio}, {clock_minutes} min on the log's clock: if that runs since the wheels stopped, "
        "some {once_k} soon after it; state when they stopped (# parked: 14:05)",
        "{corners}: apart by more than sound brakes are, so long after stopping that it is little in degrees",
        "a gap has faded since the wheels stopped",
    ),
    "gap_either_way": (
        _GAP + ", {ratio}: " + _EITHER_WAY,
        _GAP + ": " + _EITHER_WAY,
        "{corner} is above {mate}: " + _EITHER_WAY,
        "left and right are apart, and the other axles clear neither side",
    ),
    "gap_near": (
        _GAP + ", {ratio}: past its marks, though not beyond doubt",
        _GAP + ": past its marks, though not beyond doubt",
        "{corner} is above {mate}, past its marks, though not beyond doubt",
        "left and right are apart past their marks, though not beyond doubt",
    ),
    "stop_unknown": (
        "nobody stated when the wheels stopped (# parked: 14:05); more than {latest} min ago, what dragged "
        "may have cooled",
        "nobody stated when the wheels stopped; long ago, what dragged may have cooled",
    ),
    "not_enough_heat": (
        "the warmest brake is {warmest_k} above the air, {needed_k} are needed before a brake that does "
        "nothing can be told",
        "the warmest brake is {warmest_k} above the air: too little to tell a brake that does nothing",
        "the brakes hold too little heat to tell one that does nothing",
    ),
    "nothing_braked": (
        "nothing was braked on this drive: whether every brake works is asked on a drive with braking",
    ),
    "nothing_warm": (
        "nothing is warm, the warmest brake is {warmest_k} above the air: it may not have been driven at all",
        "nothing is warm: it may not have been driven at all",
    ),
    "heat_usual": (
        "the brakes are {rise_k} above the air, such a drive leaves {low_k:bare} to {high_k}",
        "the brakes are {low_rise_k} above the air: not hot, and less than such a drive leaves",
        "the brakes are {rise_k} above the air: usual after such a drive",
        "the brakes are as warm as such a drive leaves them",
    ),
    "no_ambient": ("no air temperature is stated: how much heat the brakes hold cannot be told",),
    "any_air": (
        "no air temperature is stated; this holds for any air from {low_degc} to {high_degc}",
        "no air temperature is stated; this holds for any usual one",
    ),
    "no_times": ("no times are stated: the readings cannot be brought to one moment",),
}  # fmt: skip

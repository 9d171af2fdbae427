"""The standing words of docs/validation.md; every number is put in by the command."""

OPENING = """# Validation on simulated vehicles

Written by `python bench/validation.py --write docs/validation.md` (fixed seeds, two processes, some
minutes). Do not edit by hand.

**What this can show.** Every vehicle here is simulated by us: driven, parked, walked round and read
with a gun that errs. The simulator is richer than the model that judges (two heat stores a brake,
convection by speed, natural convection and radiation when parked, stray shots, rounding, skins), so the
page shows whether the judging is sound where its assumptions hold roughly: that probabilities mean what
they say, that intervals hold the truth, that more corners are found than with plain arithmetic on the
same readings, and where it breaks.

**What it cannot show.** How real vehicles behave. Simulator and model have the same authors; nothing
here was measured on a road. No healthy spread, share of faults or strength of drags is published that
we know of: thresholds and likelihoods are engineering judgement. A figure on this page is not a promise
for a workshop.

**How vehicles are made.** Ten classes (thermlog/simulation/vehicle_classes.toml), each vehicle with
its own mass, brake balance, cooling and residual drag; the electric car is left out because its
brakes stay too cool to compare (it gets "cannot tell"). Three rounds unless said otherwise,
description of the vehicle known, 3 % of shots beside the brake. Drags are planted from 5 to 80 N·m on
light vehicles and three times that on heavy ones, dead brakes with half, four fifths and all of their
braking lost. Skins:
*even* (rusty, emissivity 0.78, 0.03 between corners), *somewhat unlike* (0.60, 0.06 between corners,
idle brakes rust to 0.80), *as believed* (as thermlog assumes where nobody stated a surface)."""

AIMS_HEAD = """## In short"""

DETECTION_WORDS = """## 1. Detection at 5 % false alarms per vehicle

Each method has its own line, which 5 of 100 healthy vehicles of that class and number of rounds pass;
the table says how many of 100 faulty vehicles pass it. thermlog: for dragging brakes the probability
that anything drags (`p_fault` less its cold part, because one reading beside the brake looks like a
dead brake, not like a drag), for dead brakes `p_fault`. Baselines, implemented in the bench: the
largest left-right difference of the last readings; of the means of all readings; of an exponential
fitted by `scipy.optimize.curve_fit` to each corner alone, at the same common time (needs two readings a
corner). Skins even. 2000 healthy and 240 faulty vehicles a row; `curve_fit` on the first 600 and 100 of
them, where thermlog is counted again on the same vehicles for the mark †. † stands where a baseline
finds more. A share of 240 is uncertain by up to 6 points (95 %), of 100 by up to 10, and the lines
themselves by about 1 point of false alarms: near 5 out of 100 nobody finds anything, and which method
leads there is chance.

![Detection over drag](img/validation-detection.png)"""

CALLS_WORDS = """## 2. What thermlog itself calls

The verdicts as printed, with the bundled policies. *Called*: anything hot or cold. *Watch or more*:
anything watched or called. *Named right*: of all vehicles with a single dragging corner where a corner
is named, exactly the planted one. *Cold at its own corner*: the dead brake itself is called cold. With
a single round a cold brake is on purpose not called: one reading far below the others may be a shot
beside the brake, and thermlog says "cannot tell, read again". Shares out of 100.

![Verdicts by rounds](img/validation-rounds.png)"""

HEALTHY_WORDS = """### False alarms and skins

2000 healthy vehicles a class, three rounds. *Scatter of a side*: standard deviation of a side's
indicated rise about its axle, in parts of it. The lines in the policies are set so that watch is
reached by about 5 % and a call by less than 1 % of healthy vehicles with somewhat unlike skins.
Vehicles that are hotter than others of their policy reach it more often, as "all hot": thermlog knows
neither load nor road. Where skins differ on every corner as much as thermlog believes possible, several
times as many are watched and two to four of 100 are called.

![False alarms](img/validation-false-alarms.png)"""

CONFUSION_WORDS = """## 3. Patterns: planted against reported

Three rounds, even skins, severities drawn as in section 4; per cent of the planted vehicles, classes
pooled. Hub faults are read at the hub as well. "Several" and "circuit" are not planted: they are what
else could be said. On two axles a cold axle and a hot other axle look alike; weak faults end in
"none"."""

COVERAGE_WORDS = """## 4. Intervals and probabilities

Share of stated 95 % intervals that hold the truth; half the vehicles healthy, half with a dragging
corner. Truth of the difference and of the temperature: what an error-free gun, set the same, would show
at the common time. Truth of the difference of the metal: the metal itself. Truth of the time constant:
rise over rate of fall of the rotor in the middle of the measured window, because two heat stores have
no single one. The intervals of temperatures hold the accuracy that is stated for the gun, an error all
readings share; it cancels in differences, and where it is switched off the intervals are wide."""

CALIBRATION_WORDS = """### Calibration

Calibration of `p_fault` and `p_hot` on vehicles as brought to a check: faults in the policy's own
shares, drags log-uniform from 10 to 80 N·m (three times that on heavy vehicles; below 10 N·m a drag is
within what a healthy brake may hold), dead brakes with 0.4 to 1 of their braking lost. *Error*:
expected calibration error over ten bins. Where skins are more even than thermlog believes it is too
cautious: it says less than is true. Where they are just as unlike as it believes, the error is
smallest; between 0.7 and 0.9 it then says somewhat too much.

![Reliability](img/validation-reliability.png)"""

TRADE_WORDS = """## 5. Where the lines stand

`watch_probability` and `flag_probability` moved, everything else as it is, the same vehicles judged
again; somewhat unlike skins. Weak and twice that: 10 and 20 N·m on light, 30 and 60 N·m on heavy
vehicles. The marks for ratio and difference stay in force, so that the curves end flat.

![Trade-off](img/validation-trade-off.png)"""

DRIVES_WORDS = """## 6. Two drives, and unequal skins

Single corners planted, skins somewhat unlike. Of the vehicles called after the normal drive: share with
one corner named, and of the named the right one; with the normal drive alone, and with both drives in
the log, where thermlog reads the second: what stays hot without braking drags, and where nothing stays
hot the cooler side does too little. "One": only the odd axle was read, so that no other brake can say
which side is odd; what is named then leans on the policy's shares, and on heavy vehicles idle brakes
are taken as commoner than dragging ones, so that hot and cold rows must be read together."""

SKIN_WORDS = """### Equal heat, unequal skins

800 healthy vehicles a row whose first axle has two unlike skins; all other brakes 0.78. The stated rate
is that below 1 % of healthy vehicles are called, and about 5 % reach watch. With the emissivities given
in the log's column the false gap is gone. 0.6 against 0.3 is a rusty against a bright face, rare on two
like brakes (the policy's odd_skin_share): such a pair should be watched and not called, until the surface
is stated or marked with tape or paint."""

POLICY_WORDS = """## 7. Policy numbers that lean on this page

What healthy vehicles show at the common time, skins even, and what one dragging corner adds (5 to 80
N·m, log-uniform, three times that on heavy vehicles). The policy's spreads lie near these and are not
fitted to one class; its usual heat lies above the pooled one, so that warm classes are not suspected
too often; both lines follow from section 5. A policy knows one usual heat for all light and one for all
heavy vehicles: the hottest class (the livestock trailer) therefore reaches watch for "all hot" more
often than stated, and the coolest less."""

WEAK_WORDS = """**Weak points seen here.** The livestock trailer, warmer than other light vehicles, is
watched for "all hot" more often than stated. On the bus a weak drag drowns in what is left open about
the heat of the whole vehicle. A rusty face beside a bright one looks like a weak brake, which only a
stated surface, tape or paint undoes. Probabilities are too cautious where skins are even. A single
round cannot call a dead brake. Weak faults of whole axles, and of all brakes, pass as even."""

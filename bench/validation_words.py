"""The standing words of docs/validation.md; every number is put in by the command."""

OPENING = """# Validation on simulated vehicles

Written by `python bench/validation.py --write docs/validation.md` (fixed seeds, two processes, some twelve
minutes). Do not edit by hand.

**Everything here is simulated, by us.** No figure was measured on a road. No healthy spread, share of
faults or strength of drags is published that we know of: thresholds and likelihoods are engineering
judgement (common practice, no source). A figure on this page is not a promise for a workshop.

**Two simulators.** A method tuned on one simulator may only have learned that simulator. So everything is
done twice. The *own simulator* (thermlog/simulation) belongs to the program: two heat stores a brake,
3 % of shots beside the brake, three plans of skins: *even* (rusty, emissivity 0.78, 0.03 between corners),
*somewhat unlike* (0.60, 0.06 between corners, idle brakes rust to 0.80), *as believed* (as unlike as
thermlog thinks possible where nobody stated a surface). The *second simulator* (bench/otherworld*.py) was
written without a look at the first: three heat stores, random drives, sides that differ with heavy tails,
mixed skins, two to six misses in a hundred and wheel covers that send shots astray, other walks. The two
share units, names of corners and the table of readings, nothing else. The model's numbers were chosen
while looking at both, so agreement shows that thermlog leans on neither alone; it does not show that
either is like real vehicles.

**How vehicles are made.** Eleven classes in the first, ten in the second; electric vehicles are left out
because their brakes stay too cool to compare. One, two, three and six rounds. One dragging brake with 5 to
80 N·m, log-uniform (three times that on heavy vehicles); every second cold brake has lost all of its
braking, the others 0.4 to all.
*Mixed walks* are vehicles as brought to a check: 70 of 100 healthy, the rest with drags from 10 N·m
up, cold brakes, whole axles, diagonals, everything hot, weighted as in the policies or in the second
simulator's intake. What a drag *adds* is what an error-free gun would show on top at the common time.

**No fixed line of probability gives the same false alarms in both worlds**, nor on all skins of one. The
lines in the policies are a compromise: where skins are unlike, more healthy vehicles are watched. A stated
surface or paint takes the doubt away; a batch can learn how often skins are unlike (`thermlog fleet`)."""

SMALL_WORDS = """**This page was made with `--small`, a tenth of the vehicles: its figures are rough, and
single fields of a class are little more than examples.**"""

AIMS_HEAD = """## In short

Aims were set before the figures. ± is one standard error. Faults of a class are weighted, classes, rounds
and skin plans count alike."""

PLAN_WORDS = (
    """The same figures by skin plan, all classes and rounds, out of 100 (calibration: mean distance):"""
)

DETECTION_WORDS = """## 1. Found at 5 % false alarms per vehicle

Each method has its own line, which 5 of 100 healthy vehicles of that class, number of rounds and skin plan
pass; the tables say how many of 100 faulty vehicles pass it. thermlog is ranked by the probability that a
brake drags, or that one does not work. *As before*: the earlier model, emulated through the present program
(one wide Gaussian of skins, tight axles, drags of about one size, `bench/as_before_*.toml`). Baselines,
implemented in the bench: the largest left-right difference of the last readings; of the means of all
readings; of an exponential fitted to each corner alone by `scipy.optimize.curve_fit`, at the same common
time (two readings a corner or more, on fewer vehicles: thermlog is then compared on the same ones); for
cold brakes the largest part of its mate's rise that a corner lacks. On the own simulator each field is the
mean of the three skin plans. A field is uncertain by some three points, a difference within a field by less,
because the methods see the same vehicles. Where a baseline of single drags stands within two standard errors
of thermlog, class and rounds were walked again with six times as many other vehicles, which alone count
there. † stands where a baseline finds more.

![Found over drag](img/validation-detection.png)"""

DECISION_WORDS = """## 2. What thermlog itself answers

Answers as printed, bundled policies. *Watched or called*: watch or yes; *called*: yes. Out of 100; four
numbers a field are 1 / 2 / 3 / 6 rounds. With one round a drag is on purpose not called: one reading never
makes a call, and the answer asks for the reading that decides."""

CORNER_WORDS = """### Right corner, dead brakes, cannot tell, and what a "no" hid

*Right corner*: of the single drags so answered, those where the odd corner alone is named; a watch may name
both sides of a gap. *Dead brakes named*: all braking lost, and the corner is among those of a watch or a
yes; with one round a dead brake cannot be told from a shot beside it, so the answer is "cannot tell, read
again" and names it. *Open*: "cannot tell", of mixed walks. *Hides*: of mixed walks answered "no", those
with a single drag that adds 20 K or more, or with a dead brake."""

MIXED_WORDS = """Mixed walks by answer, all classes and rounds, out of 100:"""

CALIBRATION_WORDS = """## 3. Do probabilities mean what they say?

Mixed walks in tenths of what was said, beside the share that was true. Drags count as true from 20 K up;
vehicles with all brakes hot have a line of their own and are left out of the first. Where skins are more
even than thermlog believes it is too cautious: more is true than is said.

![Reliability](img/validation-reliability.png)"""

LIMIT_WORDS = """## 4. Are the stated limits true?

Every "no" states the smallest fault that this very log would have shown in 4 of 5 cases. Healthy vehicles
are read; at one corner of each a drag as large as the stated limit (or a loss as large) is put on, and a
new walk is made round the same parked vehicle. Found: a watch or a yes. Where the first answer was not
"no", the limit is not printed as one. Skins somewhat unlike on the own simulator.

![Limits](img/validation-limits.png)"""

COAST_WORDS = """## 5. Drives without braking, and both drives

After a drive without braking only a drag makes heat. Single drags found at 5 % false alarms, three rounds,
mean of classes, and what thermlog itself answers on healthy vehicles, out of 100. Without braking all
brakes are nearly cold, so plain differences find such drags as well; what the model adds is an answer with
few false alarms and no line to be set by hand."""

BOTH_WORDS = """The same vehicles driven twice, all classes; on the own simulator skins somewhat unlike. The
log of the drive without braking answers whether a brake drags, the normal one whether one does not
work:"""

WHOLE_WORDS = """## 6. Whole axles, diagonals, everything hot

Left against right shows none of these; they lean on what axles usually share and on usual heat. On two
axles both fronts idle and both rears dragging look alike, and one log never decides. Heat of the whole
vehicle has a line of its own. Drags from 10 N·m a brake; out of 100, all
classes and rounds (*told: all right*: of watch or yes, exactly the odd corners are named):"""

CHANGES_WORDS = """## 7. What each change of the model brings

Each change switched back alone, everything else as it is: by how many points of 100 the program as it is
finds more at 5 % false alarms, with the standard error over vehicles drawn again; bold beyond two of them.
The learned skins are the other way about: what learning the share of vehicles with skins alike from 120
vehicles of the same class adds. With so many comparisons about one in twenty is bold by chance. Where
nothing describes the vehicle, the shares of axles are believed wide: single drags gain by it and whole
axles lose, on purpose, for two axles may be a car, a lorry or a trailer; stating the class takes it back."""

LEARNED_WORDS = """### Skins learned from a batch, at the fixed line

What learning is for: the line at which a drag is watched is fixed, the skins are not. Share beyond it by
probability alone, three rounds, described, all classes, out of 100:"""

PLAIN_WORDS = """### A plain gap is at least watched

The rule acts on the answers, not on the probabilities: a gap whose 95 % interval lies beyond the watch
difference, at a ratio beyond the watch ratio, is watched unless the rest of the vehicle says that the
cooler side is the odd one. Three rounds, all classes, out of 100:"""

COVERAGE_WORDS = """## 8. Intervals

Share of stated 95 % intervals that hold the truth, in per cent; half the vehicles healthy, half with a
dragging corner. Truth of the difference and of the temperature: what an error-free gun would show at the
common time. Truth of the time constant: rise over rate of fall of the same in the middle of the walk;
several heat stores have no single one, and in the second simulator, with three of them, the stated
intervals of the time constant are too narrow. Answers rest on differences and rises."""

SKIN_WORDS = """### Equal heat, unequal skins

Healthy vehicles whose first axle has two unlike skins; all other brakes 0.78. Own simulator, three rounds.
Such a pair may be watched; it must not be called until the surface is stated or marked with tape or paint.
With the emissivities given in the log's column the false gap is gone."""

LOOK_WORDS = """## 9. What the vehicles look like

What an error-free gun shows of healthy vehicles at the usual common time, what drags of 5 to 80 N·m (three
times that on heavy ones) add. Skins even on the own simulator, mixed on the second, whose sides therefore
differ more. The policies' spreads lie near these and are not fitted to one class; their usual heat lies
above the pooled one, so that warm classes are not suspected too often."""

POLICY_WORDS = """## 10. Policy numbers that lean on this page"""

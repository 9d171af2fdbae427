"""Records of the evidence files: causes, questions with their cards, kinds of brake, roles.

All numbers are engineering judgement, common practice, no source.
"""

from __future__ import annotations

import struct
from collections.abc import Collection, Iterator, Mapping
from itertools import chain
from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.words.sentences import capital

Groups: TypeAlias = tuple[tuple[str, ...], ...]
Once: TypeAlias = Literal["wheel", "axle", "vehicle"]
AnsweredBy: TypeAlias = Literal["log", "gun", "driver", "seat", "ground", "lift", "wheel_off"]
ActsOn: TypeAlias = Literal[
    "corner", "axle", "circuit", "vehicle", "corner_or_circuit", "corner_or_axle", "axle_or_circuit", "any"
]
Tends: TypeAlias = Literal["hot", "cold", "hot_or_cold", "hub_hot", "either"]
Requires: TypeAlias = Literal[
    "", "parking_brake_here", "spring_brake_here", "idle_axle_here", "trailer_here", "whole_trailer_here"
]  # fmt: skip

NEAR: frozenset[AnsweredBy] = frozenset({"ground", "lift", "wheel_off"})  # who answers stands among wheels
CLOSED = frozenset({"applies", "turns"})  # needs for which the brake is together
APART = frozenset({"wheel_off", "apart"})  # needs for which it is taken apart
TOUCHING = frozenset({"touch", "lift", "wheel_off", "opens"})  # needs that bring hands to a wheel


class KindOfBrake(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A kind of brake: what it is called, which vehicles have it, how to tell it."""

    words: str
    group: Literal["light", "heavy", "trailer"]
    see: str


class Confirmation(Struct, frozen=True, array_like=True):
    """The answer of a check that confirms a cause."""

    check: str
    answer: str


class CardOn(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the card of a cause says of one kind of brake; "" where it says the same as of others."""

    do: str = ""
    also: str = ""
    safety: str = ""


class Cause(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One cause and its card.

    Attributes
    ----------
    name, short : str
        In full, and as few words as a sentence needs.
    scope : ActsOn
        What it acts on.
    tends : Tends
        What it makes of the brake.
    prior : mapping of str to float
        Weight within each kind of brake that can have it.
    requires : Requires
        What must be there beside the kind of brake; "" for nothing.
    how : str
        How it comes about.
    confirms : tuple of Confirmation
        Which answers confirm it, the best first.
    together : bool
        True if it takes all of them.
    do : str
        What to do; defers to the service information.
    also : str
        What else to look at.
    safety : str
        Cautions, as sentences.
    on : mapping of str to CardOn
        Kinds of brake of which the card says something else.
    """

    name: str
    short: str
    scope: ActsOn
    tends: Tends
    prior: Mapping[str, float]
    requires: Requires = ""
    how: str
    confirms: tuple[Confirmation, ...]
    together: bool = False
    do: str
    also: str
    safety: str
    on: Mapping[str, CardOn] = {}

    @property
    def brakes(self) -> Collection[str]:
        """Kinds of brake that can have it."""
        return self.prior.keys()


class Likelihoods(Mapping[str, tuple[float, ...]]):
    """Under every cause the probability of every answer, in an array: few of thousands are ever asked for.

    Attributes
    ----------
    by_answer : memoryview of float, (answers, causes)
        Floats of 64 bits.
    """

    def __init__(self, causes: Mapping[str, int], by_answer: memoryview[float]) -> None:
        self._causes, self.by_answer = causes, by_answer

    @classmethod
    def of(cls, rows: Mapping[str, tuple[float, ...]]) -> Likelihoods:
        """The same of rows by their causes, which are of one width."""
        numbers = [*chain.from_iterable(zip(*rows.values(), strict=True))]
        packed = struct.pack(f"{len(numbers)}d", *numbers)
        return cls.unpacked({cause: k for k, cause in enumerate(rows)}, packed)

    @classmethod
    def unpacked(cls, causes: Mapping[str, int], numbers: bytes) -> Likelihoods:
        """Likelihoods of causes by their places, from the bytes of `by_answer`."""
        flat = memoryview(numbers).cast("d")
        if not flat:
            return cls({}, flat)
        return cls(causes, memoryview(numbers).cast("d", (len(flat) // len(causes), len(causes))))

    def __getitem__(self, cause: str) -> tuple[float, ...]:
        place = self._causes[cause]
        return tuple(self.by_answer[k, place] for k in range(len(self.by_answer)))

    def __iter__(self) -> Iterator[str]:
        return iter(self._causes)

    def __len__(self) -> int:
        return len(self._causes)


class Observation(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One question, its card, and the probability of each answer under each cause.

    Attributes
    ----------
    title : str
        Two to six words.
    ask : str
        The question; ``{place}`` is where.
    do : str
        The same as an instruction; empty where the question is one.
    how : str
        How to find out, in a mechanic's words.
    answers : mapping of str to str
        Every answer as half a sentence.
    means : mapping of str to str
        What each answer points to.
    minutes : float
        Without getting there [min].
    once : {"wheel", "axle", "vehicle"}
        What the minutes are counted once for.
    source : AnsweredBy
        Who or what answers; "log" is never asked.
    needs : collection of str
        Keys of `EvidenceTable.needs`.
    applies_to : collection of str
        Kinds of brake.
    safety : str
        Cautions, as sentences.
    once_only : bool
        True if making the check changes what it is about, so that a second time tells nothing.
    p : Likelihoods
        Under every cause, in the order of `answers`; flat where the two never meet.
    """

    title: str = ""
    ask: str
    do: str = ""
    how: str = ""
    answers: Mapping[str, str]
    means: Mapping[str, str] = {}
    minutes: float
    once: Once = "wheel"
    source: AnsweredBy
    needs: Collection[str]
    applies_to: Collection[str]
    safety: str
    once_only: bool = False
    p: Likelihoods

    @property
    def repeats(self) -> bool:
        """True if it can be made a second time; a driver who is asked twice tells the same."""
        return not self.once_only and self.source not in {"log", "driver"}

    @property
    def instruction(self) -> str:
        """What to do, for a list of work; ``{place}`` is where."""
        return self.do or self.ask

    @property
    def touches(self) -> bool:
        """True if a wheel or its brake is lifted, opened or touched; what is read or looked at is not."""
        return not TOUCHING.isdisjoint(self.needs)

    @property
    def near(self) -> bool:
        """True if someone comes nearer to a wheel than the gun does: hands, or eyes.

        What gun and driver answer, and what is seen from the seat or under the bonnet, is not; whatever else
        is done on the ground is, at a coupling or a drawtube, too: they are between wheels.
        """
        return self.touches or self.source in NEAR

    @property
    def closed(self) -> bool:
        """True if drum, pads and caliper must be on: the brake is put on, or the wheel turned."""
        return not CLOSED.isdisjoint(self.needs)

    @property
    def leaves_apart(self) -> bool:
        """True if the brake is taken apart, so that a piston, a cam or a rod has nothing to press against."""
        return not (APART.isdisjoint(self.needs) or self.closed)

    @property
    def opens(self) -> bool:
        """True if a fluid line is opened."""
        return "opens" in self.needs

    def likelihood(self, answer: str, cause: str) -> float:
        """P(answer | cause)."""
        return self.p[cause][tuple(self.answers).index(answer)]

    def fact(self, answer: str) -> str:
        """An answer as a sentence without its final stop."""
        return capital(self.answers[answer])

    def usual(self, cause: str) -> str:
        """The answer most often met under a cause, in words."""
        row = self.p[cause]
        return tuple(self.answers.values())[row.index(max(row))]


class Alike(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Two causes that no question keeps apart well, and why."""

    causes: tuple[str, str]
    why: str


class EvidenceTable(Struct, frozen=True, kw_only=True):
    """The evidence files.

    Attributes
    ----------
    role : mapping of str to tuple of str
        Names of checks by what the program needs them for: "look", "turn", "parking", "gate" ...
    role_cause : mapping of str to str
        Causes the program knows by name: "no_fault", "idle", "bearing".
    alike : tuple of Alike
        Pairs of causes that no question keeps apart well.
    needs : mapping of str to str
        What a check may need, in words.
    gate : mapping of str to groups
        Check -> groups of checks, one of each of which must be answered before it.
    after : mapping of str to groups
        The same, as far as they can be made.
    before : mapping of str to mapping of str to groups
        "lift" or "wheel_off" -> sign of the suspect -> the same before a wheel is raised or comes off.
    moot : mapping of str to tuple of str
        Check -> answers (``check=answer``, or a check for any answer) after which it is not asked any more.
    only : mapping of str to tuple of str
        Check -> answers without one of which it is not asked.
    next : mapping of str to tuple of str
        Check -> answers after which it is asked before what tells more.
    clear : mapping of str to tuple of str
        What the log says of the suspect -> answers of which one shows at the wheel that it is in order.
    load : mapping of str to tuple of str
        "shows": answers after which a spring may press on the rod, "air": after which air may; "waits":
        checks that wait then; "inside": answers after which nobody reaches into an open brake; "low": last
        answers while which the springs press; "hands": what waits then, too.
    stops : mapping of str to tuple of str
        "lost": answers that stop the vehicle.
    freed : mapping of str to tuple of str
        "by": answers of what freed the wheel; "asks": what tells nothing then, or once the drum came off;
        "drum_off": more that tell nothing once it came off.
    drums : tuple of str
        Kinds of brake with a drum.
    """

    rule: Mapping[str, float]
    setup_min: Mapping[str, float]
    role: Mapping[str, tuple[str, ...]]
    role_cause: Mapping[str, str]
    alike: tuple[Alike, ...]
    kinds: Mapping[str, KindOfBrake]
    share: Mapping[str, Mapping[str, float]]
    needs: Mapping[str, str]
    gate: Mapping[str, Groups]
    after: Mapping[str, Groups]
    before: Mapping[str, Mapping[str, Groups]]
    moot: Mapping[str, tuple[str, ...]]
    only: Mapping[str, tuple[str, ...]]
    next: Mapping[str, tuple[str, ...]]
    clear: Mapping[str, tuple[str, ...]]
    load: Mapping[str, tuple[str, ...]]
    stops: Mapping[str, tuple[str, ...]]
    freed: Mapping[str, tuple[str, ...]]
    drums: tuple[str, ...]
    causes: Mapping[str, Cause]
    observations: Mapping[str, Observation]

    @property
    def brake_words(self) -> Mapping[str, str]:
        """What the kinds of brake are called."""
        return {key: kind.words for key, kind in self.kinds.items()}

    def named(self, role: str) -> str:
        """The first check of a role."""
        return self.role[role][0]

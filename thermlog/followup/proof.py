"""Two or more drives beside each other: what changed, what is new, and what became of a fault."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct

from thermlog.advice.cautions import of_faults
from thermlog.followup.became import became_of, made_later
from thermlog.followup.comesandgoes import Became, even_unrepaired, repair_unsaid
from thermlog.followup.comparisonnotes import comparison_notes
from thermlog.followup.outcomes import Beside, Outcome
from thermlog.followup.pairing import Paired, paired
from thermlog.followup.partsbefore import parts_before
from thermlog.followup.sameness import unlike_vehicles
from thermlog.followup.settling import UNSETTLED, HeldBefore, next_of
from thermlog.followup.stops import Stop, stops_of, unclear_repair
from thermlog.followup.troubles import troubles_of
from thermlog.words.estimates import Estimate
from thermlog.words.findings import Diagnosis, NextCheck, Urgent, Verdict
from thermlog.words.moments import earlier
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason
from thermlog.words.reasontexts import reason_sentence
from thermlog.words.sentences import Sentence
from thermlog.words.vehicle import HUB_SPOT, OwnWords, Spot, split_corner


class ComparedCorner(Struct, frozen=True, kw_only=True):
    """One corner at one spot in every log.

    Attributes
    ----------
    rises_k : tuple of Estimate or None (logs,)
        Rise above the log's own ambient at the log's own common time [K]; None where there is none.
    changes_k : tuple of Estimate or None (logs,)
        Rise minus that of the first log, where logs hold several drives of the like drive in it [K]; None for
        the first log.
    """

    corner: str
    spot: Spot
    rises_k: tuple[Estimate | None, ...]
    changes_k: tuple[Estimate | None, ...]
    verdicts: tuple[Verdict | None, ...]


class ComparedAxle(Struct, frozen=True, kw_only=True):
    """Left against right on one axle in every log.

    Attributes
    ----------
    differences_k : tuple of Estimate or None (logs,)
        Left minus right at the log's own common time [K].
    ratios : tuple of Estimate or None (logs,)
        Hotter over cooler rise.
    changes_k : tuple of Estimate or None (logs,)
        Difference minus that of the first log [K]; None for the first log.
    outcome : Outcome
        Last log against the first: what is new here, or what became of what stood out. ``"not_asked"`` where
        neither is in question, or the logs are not of one vehicle.
    reasons : tuple of Reason
        Of the outcome, the strongest first.
    pair : tuple of int
        Places of the two drives that the outcome is drawn from.
    """

    axle: int
    differences_k: tuple[Estimate | None, ...]
    ratios: tuple[Estimate | None, ...]
    changes_k: tuple[Estimate | None, ...]
    verdicts: tuple[Verdict | None, ...]
    outcome: Outcome
    reasons: tuple[Reason, ...]
    pair: tuple[int, int] = (0, -1)

    @property
    def asked(self) -> bool:
        """True if something is new here, or something stood out before."""
        return self.outcome != "not_asked"

    @property
    def why(self) -> tuple[Sentence, ...]:
        """The reasons in words, for any page."""
        return tuple(reason_sentence(reason) for reason in self.reasons)


class Comparison(Struct, frozen=True, kw_only=True):
    """Everything two or more logs say beside each other.

    Attributes
    ----------
    diagnoses : tuple of Diagnosis (logs,)
    backwards : bool
        True if the last drive was made before the first, and so proves nothing of it.
    corners : tuple of ComparedCorner
    axles : tuple of ComparedAxle
    lacking : Reason or None
        What the log lacks where something is even again and no log says why.
    drives : Paired or None
        Which drive is set against which; None: the last against the first.
    stops : tuple of Stop
        What stopped the vehicle on an earlier drive, or was watched beside its brakes, and what has become
        of it.
    next_check : NextCheck or None
        That of the drive that counts where it is urgent; else what an earlier stop that is not explained asks
        for, that of the drive where it asks for a look, or what settles an outcome that is open.
    notes : tuple of str
    """

    diagnoses: tuple[Diagnosis, ...]
    backwards: bool = False
    corners: tuple[ComparedCorner, ...]
    axles: tuple[ComparedAxle, ...]
    next_check: NextCheck | None
    notes: tuple[str, ...]
    stops: tuple[Stop, ...] = ()
    lacking: Reason | None = None
    drives: Paired | None = None

    @property
    def unexplained(self) -> bool:
        """True if something stood out beside the brakes before, and it is not shown why, or to be gone."""
        return any(not one.settled for one in self.stops)

    @property
    def stopped(self) -> tuple[Sentence, ...]:
        """What `stops` holds in words, for any page; what is not settled comes first."""
        ordered = sorted(self.stops, key=lambda one: one.settled)
        return tuple(reason_sentence(one.reason) for one in ordered)

    @property
    def to_state(self) -> Sentence | None:
        """The same in words, for any page."""
        lacking = self.lacking
        return None if lacking is None else reason_sentence(lacking)

    @property
    def last(self) -> Diagnosis:
        """The drive that counts now; of several the last."""
        return self.counting[-1]

    @property
    def unlike(self) -> Reason | None:
        """Why the logs are not of one vehicle, so that none is before or after another."""
        return unlike_vehicles(self.diagnoses)

    @property
    def counting(self) -> tuple[Diagnosis, ...]:
        """The drives that count now: those of the last log, or each where they are not of one vehicle.

        Of logs that stand the wrong way round they are those that were made last of all.
        """
        return _counting(self.diagnoses, self.drives, backwards=self.backwards)

    @property
    def asking(self) -> tuple[Diagnosis, ...]:
        """Of the drives that count those that ask for a look, what is urgent first."""
        flagged = [one for one in self.counting if one.flagged]
        return tuple(sorted(flagged, key=lambda one: not one.urgent))

    @property
    def urgent(self) -> tuple[Urgent, ...]:
        """For what a vehicle stops, in the drives that count."""
        return tuple(one for log in self.counting for one in log.urgent)

    @property
    def caution(self) -> str:
        """What the faults forbid that are called in the drives that count; empty where none is."""
        return " ".join(filter(None, dict.fromkeys(_forbidden(one) for one in self.counting)))

    @property
    def axle_count(self) -> int:
        """Axles of the longest vehicle compared."""
        return max(one.axle_count for one in self.diagnoses)

    @property
    def called(self) -> tuple[OwnWords, ...]:
        """What the last log that has words of its own calls the corners."""
        return next((one.called for one in reversed(self.diagnoses) if one.called), ())

    @property
    def open_or_flagged(self) -> bool:
        """True if the last log asks for a look, or anything is new, unrepaired, unexplained or open."""
        misplaced = self.backwards and any(one.flagged for one in self.diagnoses)
        return (
            bool(self.asking)
            or misplaced
            or self.unexplained
            or any(axle.outcome in UNSETTLED for axle in self.axles)
        )


def compare_logs(
    diagnoses: Sequence[Diagnosis], policy: Policy, *, corners: Sequence[str] = ()
) -> Comparison:
    """Put logs beside each other; changes are taken against the first.

    Parameters
    ----------
    diagnoses : sequence of Diagnosis
        At least two, in the order of the drives.
    policy : Policy
        Of the last log: its watch line decides what counts as even again.
    corners : sequence of str
        Keep only these corners and their axles; all if empty. An axle on which something is new stays.

    Returns
    -------
    Comparison

    Raises
    ------
    ValueError
        Fewer than two diagnoses.
    """
    if len(diagnoses) < 2:
        msg = f"a comparison needs two logs, got {len(diagnoses)}"
        raise ValueError(msg)
    drives = paired(diagnoses, unlike=unlike_vehicles(diagnoses) is not None)
    besides = _besides(diagnoses, drives, policy)
    places = list(dict.fromkeys((c.corner, c.spot) for one in diagnoses for c in one.corners))
    numbers = sorted({split_corner(corner)[0] for corner, _ in places})
    wanted = {split_corner(corner)[0] for corner in corners} or set(numbers)
    axles = [_compared_axle(diagnoses, number, drives, besides) for number in numbers]
    backwards = made_later(diagnoses, drives) is not None
    stops = () if backwards or drives.unlike else _stops(diagnoses, drives, axles)
    shown = [axle for axle in axles if axle.axle in wanted or axle.outcome in {"new_fault", "new_watch"}]
    proving = not (backwards or drives.unlike)
    unsaid = proving and all(one.settled for one in stops)
    lacking = repair_unsaid(diagnoses, _became(shown)) if unsaid else None
    return Comparison(
        diagnoses=tuple(diagnoses),
        backwards=backwards,
        corners=tuple(
            _compared_corner(diagnoses, drives, *place)
            for place in places
            if not corners or place[0] in corners
        ),
        axles=tuple(shown),
        next_check=next_of(
            _counting(diagnoses, drives, backwards=backwards),
            [(axle.outcome, axle.reasons) for axle in axles],
            stops,
            lacking,
            before=diagnoses[drives.pairs[-1][0]],
            held=HeldBefore(
                dead=_not_shown_to_work(diagnoses, besides, axles), dragged=_still_drags(diagnoses, axles)
            ),
            proving=proving,
        ),
        notes=tuple(comparison_notes(diagnoses)),
        stops=stops,
        lacking=lacking,
        drives=drives,
    )


def _counting(
    diagnoses: Sequence[Diagnosis], drives: Paired | None, *, backwards: bool
) -> tuple[Diagnosis, ...]:
    """What counts now: the drives of the last log, of logs the wrong way round those made last of all."""
    if backwards:
        return tuple(
            one for one in diagnoses if not any(earlier(one.taken_at, other.taken_at) for other in diagnoses)
        )
    if drives is None:
        return (diagnoses[-1],)
    return tuple(diagnoses) if drives.unlike else tuple(diagnoses[k] for k in drives.now)


def _besides(diagnoses: Sequence[Diagnosis], drives: Paired, policy: Policy) -> list[Beside]:
    both = {diagnoses[last].drive == "coast" for _, last in drives.pairs}
    return [
        Beside(
            before=diagnoses[first],
            after=diagnoses[last],
            policy=policy,
            braked_apart=len(both) > 1 and diagnoses[last].drive == "coast",
        )
        for first, last in drives.pairs
    ]


def _not_shown_to_work(
    diagnoses: Sequence[Diagnosis], besides: Sequence[Beside], axles: Sequence[ComparedAxle]
) -> tuple[str, ...]:
    """Corners whose brake did too little before, and of which the last log does not show that it works."""
    unshown = {
        axle.axle: diagnoses[axle.pair[0]]
        for axle in axles
        if axle.outcome in UNSETTLED
        and (axle.outcome != "better" or any(one.code == "idle_not_told" for one in axle.reasons))
    }
    held = (
        one
        for number, told in unshown.items()
        for before in (told, *(beside.before for beside in besides))
        for one in troubles_of(before, number)
        if one.kind == "idle" and not one.open_side
    )
    return tuple(dict.fromkeys(one.corner for one in held))


def _still_drags(diagnoses: Sequence[Diagnosis], axles: Sequence[ComparedAxle]) -> tuple[str, ...]:
    """Corners whose brake was called as one that drags, and is still watched."""
    held = (
        one
        for axle in axles
        for reason in axle.reasons
        if reason.code == "still_watched"
        for one in troubles_of(diagnoses[axle.pair[0]], axle.axle)
        if one.kind == "drag" and one.called and one.corner in reason.corners
    )
    return tuple(dict.fromkeys(one.corner for one in held))


def _stops(diagnoses: Sequence[Diagnosis], drives: Paired, axles: Sequence[ComparedAxle]) -> tuple[Stop, ...]:
    before = [one for k, one in enumerate(diagnoses) if k not in drives.now]
    now = [diagnoses[k] for k in drives.now]
    stopped = stops_of(before, now, {axle.axle: axle.outcome for axle in axles})
    # either quotes what is said of the repair
    unsure = even_unrepaired(diagnoses, _became(axles)) or unclear_repair(before, now)
    return (*stopped, *unsure, *parts_before(before, now))


def _became(axles: Iterable[ComparedAxle]) -> list[Became]:
    return [(axle.axle, axle.outcome, axle.pair[0]) for axle in axles]


def _compared_corner(
    diagnoses: Sequence[Diagnosis], drives: Paired, corner: str, spot: Spot
) -> ComparedCorner:
    found = [one.corner(corner, spot) for one in diagnoses]
    rises = tuple(one.rise_k if one else None for one in found)
    return ComparedCorner(
        corner=corner,
        spot=spot,
        rises_k=rises,
        changes_k=drives.changes(rises),
        verdicts=tuple(one.verdict if one else None for one in found),
    )


def _compared_axle(
    diagnoses: Sequence[Diagnosis], number: int, drives: Paired, besides: Sequence[Beside]
) -> ComparedAxle:
    found = [one.axle(number) for one in diagnoses]
    differences = tuple(one.difference_k if one else None for one in found)
    outcome, reasons, pair = became_of(diagnoses, number, drives, besides)
    return ComparedAxle(
        axle=number,
        differences_k=differences,
        ratios=tuple(one.rise_ratio if one else None for one in found),
        changes_k=drives.changes(differences),
        verdicts=tuple(one.verdict if one else None for one in found),
        outcome=outcome,
        reasons=reasons,
        pair=pair,
    )


def _forbidden(one: Diagnosis) -> str:
    warms = any(corner.spot == HUB_SPOT and corner.verdict == "hot" for corner in one.corners)
    return of_faults(one.answers, one.description, warms=warms or one.answers.heat.answer == "yes")

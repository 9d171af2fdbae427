"""All cases after every columnar step: what the telling of one case draws from."""

from __future__ import annotations

from functools import partial

from msgspec import Struct, field

from thermlog.correcting.correct import Corrected
from thermlog.correcting.gun import Gun
from thermlog.correcting.surfaces import Catalogue
from thermlog.fitting.fit import Fits
from thermlog.fitting.pairs import Pairs
from thermlog.fitting.predict import curve_shape
from thermlog.fitting.settle import Settling
from thermlog.inference.gaps import Gaps
from thermlog.inference.hidden import Hidden
from thermlog.inference.left_right import SideComparison
from thermlog.inference.pattern import Evidence
from thermlog.inference.skingap import SkinGap
from thermlog.inference.support import Patterns
from thermlog.judging.digest import Digest
from thermlog.words.few import Few
from thermlog.words.findings import Diagnosis, PolicyMark
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason
from thermlog.words.tables import Floats, Ints, Readings
from thermlog.words.vehicle import Vehicle


class Judged(Struct, frozen=True, kw_only=True, eq=False):
    """All cases after every columnar step, ready to be told one by one.

    Attributes
    ----------
    hidden : Hidden
        Corners at which a fault worth finding might not have shown.
    evidence : Evidence
        What the explanations were weighed with; the base of what this log would have shown.
    digest : Digest
        The numbers that findings are made of, as plain values.
    vehicles, policies : Few (cases,); policy_notes : tuple (cases,)
        Description and policy of each case, and how the policy was chosen.
    case_notes : tuple of tuple of str (cases,)
        What the correction of the readings has to say.
    stops : dict of int to Reason
        Cases whose vehicle was stopped on an earlier visit, with no repair known since.
    dead_before : dict of int to Reason
        Cases in which a brake did no work on an earlier visit, with no repair known since.
    gun : Gun
        What the readings were taken with.
    as_read : Readings
        The readings before any correction; `readings` are what the curves run through.
    corrected : Corrected or None
        The correction, rows as `readings`; None where there was nothing to correct.
    airless : tuple of int
        Cases of which nobody stated an air temperature.
    under_airs : tuple of Judged
        These cases once more under each of several assumed airs.
    row_order, row_first : int arrays
        Rows in order of cases; those of case k are ``row_order[row_first[k]:row_first[k + 1]]``.
    catalogue : Catalogue
        Surfaces, and what is believed of skins nobody named.
    today : Judged or None
        These cases by today's logs alone; None where no earlier visits count.
    visits : tuple of int
        How many earlier visits count for each case; empty where none do for any.
    """

    readings: Readings
    pairs: Pairs
    fits: Fits
    settling: Settling
    comparison: SideComparison
    gap: SkinGap
    gaps: Gaps
    patterns: Patterns
    hidden: Hidden
    evidence: Evidence
    digest: Digest
    vehicles: Few[Vehicle]
    policies: Few[Policy]
    policy_notes: tuple[str, ...]
    case_notes: tuple[tuple[str, ...], ...]
    gun: Gun
    as_read: Readings
    corrected: Corrected | None
    catalogue: Catalogue
    airless: tuple[int, ...]
    under_airs: tuple[Judged, ...]
    row_order: Ints
    row_first: Ints
    today: Judged | None = None
    visits: tuple[int, ...] = ()
    stops: dict[int, Reason] = field(default_factory=dict)
    dead_before: dict[int, Reason] = field(default_factory=dict)

    def alone(self, k: int) -> Judged | None:
        """The same by today's log alone, where earlier visits count for case `k`; else None."""
        return self.today if self.visits and self.visits[k] else None

    def under_air(self, k: int) -> tuple[tuple[Judged, int], ...]:
        """The same case under every assumed air, with its place there; empty where the air was stated."""
        place = {case: n for n, case in enumerate(self.airless)}.get(k)
        return () if place is None else tuple((judged, place) for judged in self.under_airs)

    def frame(self, k: int) -> partial[Diagnosis]:
        """The findings of a case but for what was found: what it is, and what it was judged by."""
        case, policy, none = self.readings.cases[k], self.policies[k], self.digest.p_none[k]
        return partial(
            Diagnosis,
            log=case.log,
            vehicle=case.vehicle,
            drive=case.drive,
            description=self.vehicles[k],
            ambient_degc=case.ambient_degc,
            ambient_source=case.ambient_source,
            parked_known=case.parked_known,
            policy=PolicyMark(name=policy.name, sha256=policy.sha256),
            policy_note=self.policy_notes[k],
            common_time_s=self.digest.common_time_s[k],
            p_fault=None if case.ambient_degc is None or none is None else 1.0 - none,
            taken=case.taken,
            blind=case.blind,
            seen=case.seen,
            unweighed=case.unweighed,
            called=case.called,
        )

    def rows_of(self, k: int) -> Ints:
        """Rows of the readings of one case."""
        return self.row_order[self.row_first[k] : self.row_first[k + 1]]

    def temperature_at(self, pair: int, side: Ints, time_s: Floats) -> Floats:
        """Temperature of a pair's fitted curves at some times.

        Parameters
        ----------
        pair : int
        side : int array (times,)
            0 left, 1 right.
        time_s : float array (times,)
            On the log's own clock [s].

        Returns
        -------
        float array (times,)
            [°C].
        """
        fits, case = self.fits, int(self.pairs.case[pair])
        shape, _ = curve_shape(fits, case, fits.log_tau[side, pair], time_s)
        ambient = fits.ambient_degc[case] + fits.ambient_shift_k[case]
        temperature: Floats = ambient + fits.amplitude_k[side, pair] * shape
        return temperature

"""All that decides how logs are read and judged in one record; who holds it needs no file, no environment."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.correcting.gun import Gun, usual_gun
from thermlog.correcting.surfaces import Catalogue, SurfaceChoice, usual_surfaces
from thermlog.physics.cooling import Law
from thermlog.reading.readoptions import ReadOptions
from thermlog.words.policy import Policy
from thermlog.words.vehicle import Vehicle, WeightClass

if TYPE_CHECKING:
    from collections.abc import Mapping

    from thermlog.reading.depotfile import Depot
    from thermlog.words.visits import Past


class Settings(Struct, frozen=True, kw_only=True, eq=False):
    """What the user can set about reading and judging, read and checked.

    Attributes
    ----------
    reading : ReadOptions
        How logs are read.
    policy : Policy or None
        For every vehicle; None: a bundled one by the weight of the vehicle.
    law : Law
        Cooling law of the fit.
    gun : Gun
        What the readings were taken with.
    catalogue : Catalogue
        Table of surfaces.
    surfaces : tuple of SurfaceChoice
        Stated surfaces; a later one replaces an earlier one where both apply.
    vehicle : Vehicle or None
        What every log is of; it replaces what the logs say of their vehicles.
    weight_class : WeightClass or None
        Of vehicles nobody describes; None: it follows from the number of axles.
    policies : mapping of WeightClass to Policy
        In place of the bundled policy of that weight, where `policy` names none for all.
    skins_even_share : float or None
        Share of vehicles whose brakes look alike, learned from a batch; None: the policy's.
    past : Past or None
        Earlier visits of the vehicles.
    across_logs : bool
        True: a drive without braking in another log of the same name answers for a vehicle. False in a depot,
        where logs of one name may lie weeks apart, or be of two vehicles.
    depot : Depot or None
        The units that logs may be of.
    units : mapping of str to int
        Place in `variants` of what holds for each unit of the depot by its id; under "" for logs that name
        none.
    variants : tuple of Settings
        What holds for units that are read and judged alike.
    """

    reading: ReadOptions = field(default_factory=ReadOptions)
    policy: Policy | None = None
    law: Law = "exponential"
    gun: Gun = field(default_factory=usual_gun)
    catalogue: Catalogue = field(default_factory=usual_surfaces)
    surfaces: tuple[SurfaceChoice, ...] = ()
    vehicle: Vehicle | None = None
    weight_class: WeightClass | None = None
    policies: Mapping[WeightClass, Policy] = field(default_factory=dict)
    skins_even_share: float | None = None
    past: Past | None = None
    across_logs: bool = True
    depot: Depot | None = None
    units: Mapping[str, int] = field(default_factory=dict)
    variants: tuple[Settings, ...] = ()

    def with_skins(self, even_share: float) -> Settings:
        """The same, and for every unit, with a share of vehicles whose brakes look alike."""
        variants = tuple(replace(one, skins_even_share=even_share) for one in self.variants)
        return replace(self, skins_even_share=even_share, variants=variants)

"""All that decides how logs are read and judged in one record; who holds it needs no file, no environment."""

from __future__ import annotations

from msgspec import Struct, field

from thermlog.correcting.gun import Gun, usual_gun
from thermlog.correcting.surfaces import Catalogue, SurfaceChoice, usual_surfaces
from thermlog.physics.cooling import Law
from thermlog.reading.readoptions import ReadOptions
from thermlog.words.policy import Policy
from thermlog.words.vehicle import Vehicle


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
    skins_even_share : float or None
        Share of vehicles whose brakes look alike, learned from a batch; None: the policy's.
    """

    reading: ReadOptions = field(default_factory=ReadOptions)
    policy: Policy | None = None
    law: Law = "exponential"
    gun: Gun = field(default_factory=usual_gun)
    catalogue: Catalogue = field(default_factory=usual_surfaces)
    surfaces: tuple[SurfaceChoice, ...] = ()
    vehicle: Vehicle | None = None
    skins_even_share: float | None = None

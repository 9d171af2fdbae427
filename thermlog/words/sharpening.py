"""Steps beyond a log, and what each would make of the least fault that it shows."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.words.bounds import CornerName, NotNegative, Share

SharperBy: TypeAlias = Literal["round", "hotter", "paint", "coast"]
SharperNot: TypeAlias = Literal[
    "hardly_less", "surfaces_known", "driven_already", "without_braking", "not_driven", "not_told"
]


class Sharper(Struct, frozen=True, kw_only=True):
    """What one step beyond this log would make of the least fault that it shows at its worst corner.

    Attributes
    ----------
    by : {"round", "hotter", "paint", "coast"}
        One more round at the log's own pace; a drive that leaves every brake half as hot again; the same mark
        of matt paint or tape on both sides of every axle; a drive without braking.
    corner : str or None
        Where a fault would then have to be largest to be seen; None where no number is given.
    rise_k : float or None
        Least extra heat that shows there [K], of marks as the bare brakes would show it, so that it stands
        beside the limit of this log.
    torque_nm : float or None
        Residual torque behind it, right within a factor of about three [N·m].
    lost_share : float or None
        Part of the brake's work that must be missing, 0 to 1.
    why_not : str or None
        Why there is no number. "hardly_less": the limit would fall by less than a twentieth, or not at
        all; "surfaces_known": emissivities are stated; "driven_already": without braking; "without_braking":
        such a drive gets no hotter; "not_driven": nobody drives for it as things stand; "not_told": the
        readings do not tell.
    """

    by: SharperBy
    corner: CornerName | None = None
    rise_k: float | None = None
    torque_nm: NotNegative | None = None
    lost_share: Share | None = None
    why_not: SharperNot | None = None

"""Kinds of values with their bounds, as records declare them and the schemas of the output state them."""

from __future__ import annotations

from typing import Annotated, TypeAlias

from msgspec import Meta

Count: TypeAlias = Annotated[int, Meta(ge=0)]
AxleNumber: TypeAlias = Annotated[int, Meta(ge=1)]  # from the front
CornerName: TypeAlias = Annotated[str, Meta(pattern="^[1-9][0-9]*[LR]$")]  # axle and the vehicle's own side
Sha256: TypeAlias = Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
Share: TypeAlias = Annotated[float, Meta(ge=0, le=1)]  # a part or a probability
NotNegative: TypeAlias = Annotated[float, Meta(ge=0)]
LONGEST_REPAIR = 400  # letters of what is said of a repair; what is cut off could be "not done"

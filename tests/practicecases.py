"""Planted faults, wheels and cases that tests of practice share."""

from __future__ import annotations

from thermlog.practice.cases import CaseOrder, PracticeCase, case_seed
from thermlog.practice.marking import PlantedFault

FOUR = ("1L", "1R", "2L", "2R")
TEN = tuple(f"{axle}{side}" for axle in range(1, 6) for side in "LR")
HEALTHY = PlantedFault(kind="none", finding="nothing", corners=())
HOT = PlantedFault(kind="corner_hot", finding="drag", corners=("1L",), drag_nm=20.0)
COLD = PlantedFault(kind="corner_cold", finding="idle", corners=("2R",), lost_share=0.6)


def case_of(number: int, level: int = 2, topic: str | None = None) -> PracticeCase:
    return PracticeCase(CaseOrder(seed=case_seed(5, number), level=level, topic=topic))

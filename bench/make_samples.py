"""Write the sample logs and EXPECTED.table from their seeds: python bench/make_samples.py [FOLDER].

Every vehicle, fault and reading is simulated and our own. The same seeds give the same bytes.
"""

from __future__ import annotations

import sys
from pathlib import Path

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.simulation.builds import HEALTHY, DayPlan, Fault
from thermlog.simulation.logtext import LogStyle, log_text
from thermlog.simulation.simulate import MeasurePlan, SimulatedFleet, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import BRIGHT_SKINS, RUSTY_SKINS, GunPlan, SkinPlan, WalkPlan
from thermlog.words.findings import PatternKind
from thermlog.words.kinds import fault_kind
from thermlog.words.tables import Drive, Readings, stack_readings
from thermlog.words.vehicle import Spot

FOLDER = Path(__file__).parent.parent / "sample_logs"
GERMAN_WORDS = {"1L": "VL", "1R": "VR", "2L": "HL", "2R": "HR"}
SIDE_FIRST_WORDS = {"1L": "LF", "1R": "RF", "2L": "LR", "2R": "RR"}
TWO_AXLE_WORDS = {"1L": "FL", "1R": "FR", "2L": "RL", "2R": "RR"}
FOUR_WORDS = LogStyle(words=TWO_AXLE_WORDS)
CANONICAL = LogStyle()
SPOTTED = LogStyle(spots=True)
# A working disc is swept bright, an idle one rusts: the gun sees two fifths of its rise, most of the other's.
DEAD_AMONG_BRIGHT = SkinPlan(emissivity=0.30, common_sigma=0.03, separate_sigma=0.02, idle_emissivity=0.85)


class Sample(Struct, frozen=True, kw_only=True):
    """One sample log: what is simulated, how it is measured and written, and what should be found."""

    name: str
    vehicle: str
    build: str
    seed: int
    found: str
    ambient_degc: float
    fault: Fault = HEALTHY
    drives: tuple[Drive, ...] = ("normal",)
    spots: tuple[Spot, ...] = ("brake",)
    rounds: int = 3
    order: str = "around"
    pace_s: float = 15.0
    resolution_k: float = 0.1
    skins: SkinPlan = field(default_factory=lambda: RUSTY_SKINS)
    style: LogStyle = field(default_factory=lambda: FOUR_WORDS)
    described: bool = False
    remark: str = ""
    drag: str = ""

    @property
    def corners(self) -> str:
        """Corners to be found."""
        if fault_kind(self.fault.kind).scope == "vehicle":
            return " ".join(VEHICLE_CLASSES[self.build].corners)
        return "" if self.found in {"none", "cannot_tell"} else " ".join(self.fault.corners)


def hot(*corners: str, nm: float, kind: PatternKind = "corner_hot") -> Fault:
    return Fault(kind=kind, corners=corners, drag_nm=nm)


def cold(*corners: str, lost: float, kind: PatternKind = "corner_cold") -> Fault:
    return Fault(kind=kind, corners=corners, lost_fraction=lost)


SAMPLES = (
    Sample(
        name="van_front_left_hot", vehicle="delivery van 12", build="van_disc", seed=101, ambient_degc=18.0,
        found="corner_hot", fault=hot("1L", nm=55.0), style=LogStyle(words=SIDE_FIRST_WORDS),
        remark="slide pins seized at the front left",
    ),
    Sample(
        name="hatchback_rear_right_hot", vehicle="small hatchback", build="car_disc", seed=102,
        ambient_degc=9.0, found="corner_hot", fault=hot("2R", nm=30.0),
        remark="parking lever on the rear right caliper does not return",
    ),
    Sample(
        name="estate_front_right_hot", vehicle="estate car, ten years old", build="car_disc", seed=103,
        ambient_degc=24.0, found="corner_hot", fault=hot("1R", nm=35.0), resolution_k=1.0, rounds=4,
        remark="brake hose at the front right holds pressure",
    ),
    Sample(
        name="bus_rear_axle_hot", vehicle="city bus 7", build="bus_disc", seed=152, ambient_degc=20.0,
        found="axle_hot", fault=hot("2L", "2R", nm=80.0, kind="axle_hot"), described=True, style=CANONICAL,
        order="across", remark="relay valve of the rear axle leaves air in both chambers",
    ),
    Sample(
        name="hatchback_parking_brake_on", vehicle="town hatchback", build="car_drum", seed=105,
        ambient_degc=13.0, found="axle_hot", fault=hot("2L", "2R", nm=16.0, kind="axle_hot"), described=True,
        remark="driven off with the parking brake two notches on",
    ),
    Sample(
        name="pickup_all_hot", vehicle="light pickup, booster just renewed", build="pickup_drum", seed=155,
        ambient_degc=15.0, found="all_hot", fault=hot(nm=40.0, kind="all_hot"), described=True,
        remark="no free play at the pushrod: every brake drags, sides alike",
    ),
    Sample(
        name="saloon_diagonal_hot", vehicle="compact saloon, diagonal split", build="car_disc", seed=158,
        ambient_degc=19.0, found="diagonal_hot", fault=hot("1L", "2R", nm=24.0, kind="diagonal_hot"),
        described=True, remark="one circuit of the master cylinder does not vent",
    ),
    Sample(
        name="people_carrier_front_left_cold", vehicle="people carrier", build="van_disc",
        seed=108, ambient_degc=21.0, found="corner_cold", fault=cold("1L", lost=0.95), spots=("hat",),
        style=LogStyle(words=TWO_AXLE_WORDS, spots=True),
        remark="piston at the front left is stuck in its bore",
        drag="no|cannot_tell",  # of a mate that is warm on a cool vehicle a small drag can stay unseen
    ),
    Sample(
        name="van_dead_brake_hidden", vehicle="parcel van, bright discs", build="van_disc", seed=122,
        ambient_degc=15.0, found="corner_cold", fault=cold("1R", lost=0.7), spots=("rotor_outer",),
        skins=DEAD_AMONG_BRIGHT, style=LogStyle(words=TWO_AXLE_WORDS, spots=True, emissivities=True),
        remark="front right does a third of its work and has rusted; the other faces are swept bright",
        drag="no|cannot_tell",  # what its mate would show of a drag, the brake that does little hides
    ),
    Sample(
        name="combination_axle4_left_cold", vehicle="tractor 3 with semitrailer 41",
        build="combination5_drum", seed=109, ambient_degc=17.0, found="corner_cold",
        fault=cold("4L", lost=0.95), spots=("drum",), style=SPOTTED, described=True, pace_s=11.0,
        remark="slack adjuster of axle 4 left is far too long",
    ),
    Sample(
        name="lorry_rear_axle_cold", vehicle="two-axle lorry 5", build="rigid2_drum", seed=110,
        ambient_degc=11.0, found="axle_cold", fault=cold("2L", "2R", lost=0.92, kind="axle_cold"),
        spots=("drum",), style=SPOTTED, described=True, remark="load-sensing valve stuck: no pressure behind",
    ),
    Sample(
        name="tipper_axle3_right_hot", vehicle="farm tipper", build="rigid3_drum", seed=111,
        ambient_degc=12.0, found="corner_hot", fault=hot("3R", nm=230.0), spots=("drum",), style=SPOTTED,
        remark="camshaft of axle 3 right turns stiffly in its bushing",
    ),
    Sample(
        name="trailer_hub_hot", vehicle="twin-axle livestock trailer", build="trailer2_drum", seed=112,
        ambient_degc=26.0, found="hub_hot", fault=hot("2L", nm=38.0, kind="hub_hot"), spots=("drum", "hub"),
        style=SPOTTED, pace_s=9.0, described=True, remark="wheel bearing of axle 2 left is failing",
    ),
    Sample(
        name="saloon_healthy", vehicle="saloon", build="car_disc", seed=137, ambient_degc=16.0, found="none",
        remark="healthy control",
    ),
    Sample(
        name="combination_healthy", vehicle="tractor 8 with semitrailer 22",
        build="combination5_drum", seed=114, ambient_degc=14.0, found="none",
        spots=("drum",), style=SPOTTED, described=True, pace_s=11.0, remark="healthy control",
    ),
    Sample(
        name="electric_hatchback_cool", vehicle="electric hatchback", build="electric_car", seed=115,
        ambient_degc=14.0, found="cannot_tell", described=True,
        remark="healthy, but the motor did the slowing: too little heat to judge by",
    ),
    Sample(
        name="saloon_fahrenheit", vehicle="saloon, second shop", build="car_disc", seed=116,
        ambient_degc=22.0, found="corner_hot", fault=hot("2L", nm=18.0),
        style=LogStyle(unit="F", words=TWO_AXLE_WORDS),
        remark="rear left caliper piston does not go back",
    ),
    Sample(
        name="hatchback_wide", vehicle="small hatchback, second visit", build="car_drum", seed=117,
        ambient_degc=12.0, found="corner_hot", fault=hot("1R", nm=32.0), rounds=5, pace_s=4.0,
        style=LogStyle(layout="wide", words=TWO_AXLE_WORDS), remark="front right pads bound in their bracket",
    ),
    Sample(
        name="van_two_drives", vehicle="delivery van 4", build="van_disc", seed=118, ambient_degc=16.0,
        found="corner_hot", fault=hot("1L", nm=45.0), drives=("normal", "coast"),
        remark="normal drive, then a drive almost without braking",
    ),
    Sample(
        name="van_before_repair", vehicle="delivery van 9", build="van_disc", seed=119, ambient_degc=17.0,
        found="corner_hot", fault=hot("1R", nm=55.0), remark="before: front right piston sticks",
    ),
    Sample(
        name="van_after_repair", vehicle="delivery van 9", build="van_disc", seed=119, ambient_degc=17.0,
        found="none", drives=("verification",), remark="after: caliper overhauled, same route",
    ),
    Sample(
        name="saloon_decimal_comma", vehicle="saloon, third shop", build="car_disc", seed=120,
        ambient_degc=8.0, found="corner_hot", fault=hot("1L", nm=35.0), resolution_k=0.5,
        style=LogStyle(delimiter=";", decimal=",", words=GERMAN_WORDS), skins=BRIGHT_SKINS,
        remark="front left drags; swept faces, so the gun shows about half of the heat",
    ),
    Sample(
        name="bus_past_midnight", vehicle="night bus 31", build="bus_disc", seed=121, ambient_degc=6.0,
        found="corner_hot", fault=hot("1L", nm=190.0), described=True, style=LogStyle(stopped="23:56:20"),
        remark="front left air disc drags; the walk goes past midnight",
    ),
)  # fmt: skip


def measure_plan(sample: Sample) -> MeasurePlan:
    return MeasurePlan(
        walk=WalkPlan(
            rounds=sample.rounds,
            seconds_per_reading=sample.pace_s,
            jitter_s=0.15 * sample.pace_s,
            order="across" if sample.order == "across" else "around",
            spots=sample.spots,
        ),
        gun=GunPlan(resolution_k=sample.resolution_k),
        skins=sample.skins,
        day=DayPlan(ambient_degc=(sample.ambient_degc, sample.ambient_degc)),
        ambient_sigma_k=0.5,
        described=sample.described,
    )


def simulate_sample(sample: Sample) -> tuple[SimulatedFleet, ...]:
    """One simulated vehicle, once for each drive."""
    build, plan = VEHICLE_CLASSES[sample.build], measure_plan(sample)
    return tuple(
        simulate_fleet(build, [sample.fault], drive=drive, plan=plan, seed=sample.seed)
        for drive in sample.drives
    )


def _named(readings: Readings, vehicle: str) -> Readings:
    return replace(readings, cases=tuple(replace(case, vehicle=vehicle) for case in readings.cases))


def with_emissivities(fleet: SimulatedFleet, style: LogStyle) -> Readings:
    """The readings with the emissivity of each surface, where the style writes it."""
    readings = fleet.readings
    if not style.emissivities:
        return readings
    skin = fleet.emissivity[readings.case, 2 * (readings.axle - 1) + readings.side]
    return replace(readings, emissivity=skin)


def sample_text(sample: Sample) -> str:
    """Text of the log."""
    fleets = simulate_sample(sample)
    made = stack_readings([with_emissivities(fleet, sample.style) for fleet in fleets])
    readings = _named(made, sample.vehicle)
    remarks = (f"simulated: {sample.remark}", f"seed: {sample.seed}")
    return log_text(readings, range(len(fleets)), style=sample.style, remarks=remarks)


# What a careful reader may say of such a fault from such a log: does a brake drag, does one not work, is the
# whole vehicle hot. Two axles leave open which of them is the odd one; where all brakes drag alike, "no brake
# drags" would be wrong.
ANSWERS: dict[str, tuple[str, str, str]] = {
    "none": ("no", "no", "no"),
    "cannot_tell": ("no", "cannot_tell", "no"),
    "corner_hot": ("yes", "no", "no"),
    "diagonal_hot": ("yes", "no", "no"),
    "axle_hot": ("watch", "watch|cannot_tell", "no"),
    "all_hot": ("watch|cannot_tell", "no", "yes|watch"),
    "corner_cold": ("no", "yes", "no"),
    "axle_cold": ("watch|cannot_tell", "watch", "no"),
    "hub_hot": ("no", "no", "no"),
}


def _asked_corners(sample: Sample) -> tuple[str, str]:
    """Corners that a careful reader names: that may drag, that may not work."""
    every = VEHICLE_CLASSES[sample.build].corners
    rest = " ".join(corner for corner in every if corner not in sample.fault.corners)
    named = {
        "axle_hot": (sample.corners, rest),
        "axle_cold": (rest, sample.corners),
        "corner_cold": ("", sample.corners),
        "hub_hot": ("", ""),
    }
    return named.get(sample.found, (sample.corners, ""))


def expected_text() -> str:
    """What was planted and what should be answered, a row a log."""
    rows = ["file,kind,corners,drag,drag_corners,idle,idle_corners,heat,urgent"]
    for sample in SAMPLES:
        drag, idle, heat = ANSWERS[sample.found]
        hot, cold_ones = _asked_corners(sample)
        urgent = f"hub {sample.corners}" if sample.found == "hub_hot" else ""
        cells = (sample.found, sample.corners, sample.drag or drag, hot, idle, cold_ones, heat, urgent)
        rows.append(",".join((f"{sample.name}.csv", *cells)))
    return "\n".join(rows) + "\n"


def write_samples(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for sample in SAMPLES:
        (folder / f"{sample.name}.csv").write_text(sample_text(sample), encoding="utf-8", newline="\n")
    (folder / "EXPECTED.table").write_text(expected_text(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    write_samples(Path(sys.argv[1]) if len(sys.argv) > 1 else FOLDER)

"""``thermlog simulate``: a log of a vehicle that never was, with a fault planted in it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Literal

import click
from msgspec import Struct

from thermlog.cli.files import refuse_same_file, result_stream
from thermlog.cli.options import MOST_SEED, FiniteRange, air_degc, force_option, gathered
from thermlog.reports.wholefile import refuse_existing, write_whole_text
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.words.errors import OutputError
from thermlog.words.kinds import FAULT_KINDS, HUB_HOT, Size, fault_kind
from thermlog.words.units import Unit
from thermlog.words.vehicle import SPOTS, Spot

if TYPE_CHECKING:
    from thermlog.simulation.logtext import LogStyle
    from thermlog.simulation.onelog import Order, SkinName, Wanted
    from thermlog.words.findings import PatternKind
    from thermlog.words.tables import Drive

_ANY = "any"
FAULTS = (*(kind.name for kind in FAULT_KINDS if kind.simulated), _ANY)
# Spelled out, so that help needs no simulator; a test compares.
SKIN_NAMES: tuple[SkinName, ...] = ("rusty", "bright", "mixed", "uneven")


class Simulating(Struct, frozen=True, kw_only=True):
    """What the user wants simulated, and how it is to be written."""

    vehicle_class: str
    fault: PatternKind | Literal["any"]
    corner: str | None
    drag_nm: float | None
    lost: float | None
    drive: Drive
    rounds: int
    seed: int
    spots: tuple[Spot, ...]
    order: Order
    skins: SkinName
    seconds: float
    one_way: bool
    misses: float
    last_stop: float | None
    ambient: float | None
    bare: bool
    unit: Unit
    layout: Literal["long", "wide"]
    delimiter: str | None
    decimal: Literal[".", ","]
    stopped: str | None

    @property
    def sizes(self) -> frozenset[Size]:
        """What the size of the fault may be told in; more than one if any may be drawn."""
        drawn = (kind for kind in FAULT_KINDS if kind.simulated and self.fault in {kind.name, _ANY})
        return frozenset(kind.size for kind in drawn)

    def wanted(self) -> Wanted:
        """The same for the simulator."""
        from thermlog.reading.cornerwords import corner_of_word
        from thermlog.simulation.onelog import Wanted

        corners = VEHICLE_CLASSES[self.vehicle_class].corners
        return Wanted(
            vehicle_class=self.vehicle_class,
            fault=self.fault,
            corner=self.corner and (corner_of_word(self.corner, corners) or self.corner.upper()),
            drag_nm=self.drag_nm,
            lost_fraction=self.lost,
            drive=self.drive,
            rounds=self.rounds,
            seed=self.seed,
            spots=self.read_spots() or ("brake",),
            order=self.order,
            skins=self.skins,
            seconds_per_reading=self.seconds,
            one_way=self.one_way,
            miss_share=self.misses,
            last_stop_kmh=self.last_stop,
            ambient_degc=self.ambient,
            described=not self.bare,
        )

    def style(self) -> LogStyle:
        """The same for the writer of logs."""
        from thermlog.simulation.logtext import LogStyle

        return LogStyle(
            unit=self.unit,
            layout=self.layout,
            delimiter=self.delimiter or (";" if self.decimal == "," else ","),
            decimal=self.decimal,
            stopped=self.stopped,
            spots=bool(self.read_spots()),
        )

    def read_spots(self) -> tuple[Spot, ...]:
        """Spots asked for, each once; a failing bearing shows at the hub only."""
        bearing: tuple[Spot, ...] = ("brake", "hub") if self.sizes == {"bearing"} else ()
        return tuple(dict.fromkeys(self.spots)) or bearing


def _clock_time(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:  # noqa: ARG001
    if value is not None and re.fullmatch(r"(?:[01]\d|2[0-3]):[0-5]\d:[0-5]\d", value) is None:
        msg = f'"{value}" is not a clock time; write it like 14:03:10'
        raise click.BadParameter(msg)
    return value


_OPTIONS = (
    click.option("--class", "vehicle_class", type=click.Choice(list(VEHICLE_CLASSES)), default="car_disc",
                 show_default=True, metavar="NAME", help=f"Kind of vehicle: {', '.join(VEHICLE_CLASSES)}."),
    click.option("--fault", type=click.Choice(FAULTS), default="none", show_default=True,
                 help="What is planted; any: kind, place and strength are drawn by the seed."),
    click.option("--corner", metavar="1L",
                 help="Where, in any word of a log; an axle or a diagonal is named by one of its corners. "
                      "Else drawn by the seed."),
    click.option("--drag-nm", type=FiniteRange(min=0.0, max=2000.0, min_open=True), metavar="N",
                 help="Torque of a hot fault in N·m; else 30 on light, 150 on heavy vehicles."),
    click.option("--lost", type=FiniteRange(min=0.0, max=1.0, min_open=True), metavar="F",
                 help="Part of its braking that a cold fault has lost, 0 to 1; else 0.9."),
    click.option("--drive", type=click.Choice(["normal", "coast", "verification"]), default="normal",
                 show_default=True, help="Drive before the walk round."),
    click.option("--rounds", type=click.IntRange(1, 20), default=3, show_default=True, metavar="N",
                 help="Walks round the vehicle."),
    click.option("--seed", type=click.IntRange(0, MOST_SEED), default=1, show_default=True, metavar="N",
                 help="The same seed gives the same log, and the same vehicle on another drive."),
    click.option("--spot", "spots", multiple=True, type=click.Choice(SPOTS), metavar="NAME",
                 help=f"What is read at each corner, may be repeated: {', '.join(SPOTS)}. Else the brake, "
                      f"and the hub for {HUB_HOT.name}."),
    click.option("--order", type=click.Choice(["around", "across"]), default="around", show_default=True,
                 help="Down one side and back up the other, or axle by axle."),
    click.option("--skins", type=click.Choice(SKIN_NAMES), default="rusty", show_default=True,
                 help="How the surfaces shine that the gun is aimed at."),
    click.option("--seconds", type=FiniteRange(min=1.0, max=300.0), default=15.0, show_default=True,
                 metavar="S", help="From one reading to the next."),
    click.option("--one-way", is_flag=True, help="Every round the same way, not to and fro."),
    click.option("--misses", type=FiniteRange(min=0.0, max=1.0), default=0.03, show_default=True, metavar="F",
                 help="Part of the shots that catch rim, tyre or gap, 0 to 1."),
    click.option("--last-stop", type=FiniteRange(min=5.0, max=130.0), metavar="KM/H",
                 help="Speed of one stop at the very end; else a gentle one from walking pace."),
    click.option("--ambient", callback=air_degc, metavar="TEMPERATURE",
                 help="True air temperature: 18, 18C or 64F; else drawn by the seed."),
    click.option("--bare", is_flag=True, help="Leave out the header lines that describe the vehicle."),
    click.option("--unit", type=click.Choice(["C", "F", "K"], case_sensitive=False), default="C",
                 metavar="C|F|K", show_default=True, help="Unit of the log."),
    click.option("--layout", type=click.Choice(["long", "wide"]), default="long", show_default=True,
                 help="A row a reading, or a column a wheel."),
    click.option("--delimiter", type=click.Choice([",", ";"]), help="Sign between columns."),
    click.option("--decimal", type=click.Choice([".", ","]), default=".", show_default=True,
                 help="Decimal mark."),
    click.option("--stopped", callback=_clock_time, metavar="HH:MM:SS",
                 help="Clock time at which the wheels stopped: the log then carries clock times."),
)  # fmt: skip


@click.command()
@gathered("simulating", Simulating, _OPTIONS)
@click.option(
    "--depot",
    metavar="FOLDER",
    help="Instead of one log a depot: 60 units over 12 weeks, some with a drag that grows, some "
    "repaired, some with unlike skins, and truth.json. Only --seed goes with it.",
)
@click.option("--hide-fault", is_flag=True, help="A practice case: the log does not tell the fault.")
@click.option("--truth", metavar="FILE", help="Write the planted fault here (TOML).")
@click.option("-o", "--output", metavar="FILE", help="Write the log here, not on the screen.")
@force_option
@click.pass_context
def simulate(
    ctx: click.Context,
    *,
    simulating: Simulating,
    depot: str | None,
    hide_fault: bool,
    truth: str | None,
    output: str | None,
    force: bool,
) -> None:
    """Simulate a vehicle with a fault planted in it, and print its log.

    The vehicle is driven, parked, walked round and read with the errors of gun, hand and surface. The log
    says that it is simulated, its seed and the fault; with --hide-fault only --truth tells the fault.
    """
    if depot is not None:
        _simulate_depot(ctx, depot, simulating.seed)
        return
    _refuse_contradictions(simulating)
    if hide_fault and truth is None:
        msg = "--hide-fault needs --truth FILE, or nobody could tell the fault"
        raise click.UsageError(msg)
    refuse_same_file(truth, output, "--truth and --output")
    from thermlog.simulation.onelog import simulated_log

    if truth is not None:
        refuse_existing(truth, force=force)
    with result_stream(output, force=force, exact=True) as out:
        made = simulated_log(simulating.wanted(), style=simulating.style(), hidden=hide_fault)
        out.write(made.log)
    if truth is not None:
        write_whole_text(truth, made.truth, force=force)


def _simulate_depot(ctx: click.Context, folder: str, seed: int) -> None:
    """Write the logs of a depot and its truth into a folder that is not there yet."""
    from pathlib import Path

    from click.core import ParameterSource

    from thermlog.simulation.depot import depot_units, depot_weeks, truth_text
    from thermlog.simulation.logtext import log_text

    given = {name for name in ctx.params if ctx.get_parameter_source(name) is ParameterSource.COMMANDLINE}
    if given - {"depot", "seed"}:
        msg = "--depot goes with --seed alone"
        raise click.UsageError(msg)
    place = Path(folder)
    if place.exists():
        msg = f"{folder}: exists already; name a folder that is not there yet"
        raise OutputError(msg)
    place.mkdir(parents=True)
    for week in depot_weeks(seed):
        for k, case in enumerate(week.readings.cases):
            remarks = ("simulated: a unit of a depot, see truth.json", f"date: {case.taken_at}")
            text = log_text(week.readings, [k], remarks=remarks)
            (place / case.log.file).write_text(text, encoding="utf-8")
    write_whole_text(str(place / "truth.json"), truth_text(depot_units(seed)), force=False)


def _refuse_contradictions(asked: Simulating) -> None:
    """Refuse options that would be of no effect together."""
    hot, cold = bool(asked.sizes & {"drag", "bearing"}), "loss" in asked.sizes
    placed = asked.fault != _ANY and fault_kind(asked.fault).has_place
    wide = asked.layout == "wide"
    wrong = (
        (asked.drag_nm is not None and not hot, "--drag-nm is for hot faults; choose one with --fault"),
        (asked.lost is not None and not cold, "--lost is for cold faults; choose one with --fault"),
        (asked.corner is not None and not placed, f"--fault {asked.fault} has no place; leave out --corner"),
        (wide and bool(asked.read_spots()), "a wide layout cannot tell spots; --layout long can"),
        (asked.delimiter == asked.decimal == ",", 'a decimal comma needs another delimiter: --delimiter ";"'),
    )
    for is_wrong, cure in wrong:
        if is_wrong:
            raise click.UsageError(cure)

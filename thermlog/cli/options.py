"""Options that several commands share, each defined once, and the choices made from them.

A command decorated with `reading_options`, `judging_options` or `writing_options` gets one argument
``reading``, ``judging`` or ``writing``; the click options behind them are gathered here.
"""

from __future__ import annotations

import math
import re
from functools import partial, wraps
from typing import TYPE_CHECKING, Any, Literal, TextIO, TypeAlias, TypeVar

import click
from msgspec import Struct
from msgspec.structs import asdict

from thermlog.cli.files import result_stream
from thermlog.cli.given import StatedOption
from thermlog.words.units import Unit, to_degc

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from contextlib import AbstractContextManager

    from thermlog.judging.settings import Settings
    from thermlog.reading.positions.resolve import PositionRules
    from thermlog.reading.readoptions import ColumnMap, ReadOptions
    from thermlog.reports.wording import Show

TrafficSide: TypeAlias = Literal["left", "right"]
_Command = TypeVar("_Command", bound="Callable[..., Any]")

MOST_SEED = 2**63 - 1  # a seed is a whole number of 64 bits


def air_degc(ctx: click.Context, param: click.Parameter, value: str | None) -> float | None:  # noqa: ARG001
    """Air temperature with an optional unit, ``18``, ``18C`` or ``64F``, in [°C]."""
    if value is None:
        return None
    found = re.fullmatch(r"\s*([-+]?\d+(?:[.,]\d+)?)\s*(?:°|deg)?\s*([CFK]?)\s*", value, re.IGNORECASE)
    if found is None:
        msg = f'"{value}" is not a temperature; write 18, 18C or 64F'
        raise click.BadParameter(msg)
    unit: Unit = found[2].upper() or "C"  # type: ignore[assignment]  # the pattern lets nothing else through
    degc = to_degc(float(found[1].replace(",", ".")), unit)
    from thermlog.reading.readoptions import COLDEST_AIR_DEGC, HOTTEST_AIR_DEGC

    if not COLDEST_AIR_DEGC <= degc <= HOTTEST_AIR_DEGC:
        msg = f"{value} is {degc:.0f} °C, no air temperature; add the unit, as in 64F"
        raise click.BadParameter(msg)
    return degc


class GivenAir(Struct, frozen=True, kw_only=True):
    """Air temperature as the user gave it [°C]; `bare` without a unit."""

    degc: float
    bare: bool


def given_air(ctx: click.Context, param: click.Parameter, value: str | None) -> GivenAir | None:
    """The same, with whether a unit was written."""
    degc = air_degc(ctx, param, value)
    return (
        None if degc is None or value is None else GivenAir(degc=degc, bare=not value.strip()[-1].isalpha())
    )


def vehicle_name(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:  # noqa: ARG001
    """Name of a vehicle; the name of a file belongs to another option."""
    if value is not None:
        from thermlog.reading.optionchecks import is_vehicle_file

        if is_vehicle_file(value):
            msg = f'"{value}" is a file; give a name here, and the file to --vehicle'
            raise click.BadParameter(msg)
    return value


class FiniteRange(click.FloatRange):
    """A range of numbers that ``nan`` and ``inf`` are not in."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Number in the range."""
        number = super().convert(value, param, ctx)
        if not math.isfinite(number):
            self.fail(f"{value} is not a finite number", param, ctx)
        return number


def kept_side(ctx: click.Context, param: click.Parameter, value: str | None) -> TrafficSide | None:  # noqa: ARG001
    """Side traffic keeps to in a country, by any word for it that a log may have."""
    if value is None:
        return None
    from thermlog.reading.headings import plain_words
    from thermlog.reading.vocabulary import COUNTRY_SIDES

    side = COUNTRY_SIDES.get(plain_words(value))
    if side is None:
        msg = f'"{value}" is no known country; write a two-letter code such as GB or US, or --traffic-side'
        raise click.BadParameter(msg)
    return side


def known_sights(ctx: click.Context, param: click.Parameter, value: tuple[str, ...]) -> tuple[str, ...]:  # noqa: ARG001
    """What was seen, refused by name where it is nothing known."""
    if value:
        from thermlog.reading.remarks.sights import SEEN_HINT, read_sights

        for text in value:
            sights = read_sights(text)
            if sights.strange or not text.strip():
                msg = f'"{", ".join(sights.strange)}" is nothing known as seen; {SEEN_HINT}'
                raise click.BadParameter(msg)
    return value


class Reading(Struct, frozen=True, kw_only=True):
    """How the user wants logs to be read; None where the log itself shall tell."""

    unit: Unit | None
    ambient: GivenAir | None
    ambient_sigma: float | None
    override: tuple[Literal["unit", "ambient"], ...]
    vehicle_name: str | None
    drive: Literal["normal", "coast", "verification"] | None
    delimiter: str | None
    decimal: Literal[".", ","] | None
    encoding: str | None
    date_order: Literal["dmy", "mdy"] | None
    country: TrafficSide | None
    traffic_side: TrafficSide | None
    drive_side: TrafficSide | None
    language: str | None
    count: Literal["combined", "per_unit"] | None
    columns: str | None
    seen: tuple[str, ...]

    def files(self) -> list[str]:
        """Files that are read besides the logs."""
        return [self.columns] if self.columns else []

    def position_rules(self) -> PositionRules:
        """What the options tell about words for wheels."""
        from thermlog.reading.positions.resolve import PositionRules

        return PositionRules(
            traffic_side=self.traffic_side or self.country,
            driver_side=self.drive_side,
            language=self.language,
            axle_count=self.count,
        )

    def options(self) -> ReadOptions:
        """The same for the reader."""
        from thermlog.reading.readoptions import ReadOptions

        return ReadOptions(
            unit=self.unit,
            ambient_degc=self.ambient.degc if self.ambient else None,
            ambient_bare=self.ambient is not None and self.ambient.bare,
            ambient_sigma_k=self.ambient_sigma,
            override=self.override,
            vehicle=self.vehicle_name,
            drive=self.drive,
            delimiter={"tab": "\t"}.get(self.delimiter or "", self.delimiter),
            decimal=self.decimal,
            encoding=self.encoding,
            date_order=self.date_order,
            traffic_side=self.traffic_side or self.country,
            driver_side=self.drive_side,
            language=self.language,
            axle_count=self.count,
            column_map=_column_map(self.columns) if self.columns else None,
            seen=self.seen,
        )


def _column_map(file: str) -> ColumnMap:
    from thermlog.reading.columnmap import load_column_map  # most logs need none

    return load_column_map(file)


_FOR_PEOPLE = ("text", "markdown")  # in the letters that their terminal has


class Writing(Struct, frozen=True, kw_only=True):
    """How the user wants the result."""

    output_format: str
    show: Show
    output: str | None
    force: bool
    quiet: bool

    def stream(self, inputs: Iterable[str]) -> AbstractContextManager[TextIO]:
        """Where the result goes; none of the `inputs` is ever replaced."""
        exact = self.output_format not in _FOR_PEOPLE
        return result_stream(self.output, force=self.force, exact=exact, inputs=inputs)


class Judging(Struct, frozen=True, kw_only=True):
    """How the user wants logs to be judged."""

    policy: tuple[str, ...]
    law: Literal["exponential", "power"]
    gun: str | None
    surface: tuple[str, ...]
    surfaces: str | None
    vehicle: str | None
    depot: str | None
    skins_alike: float | None

    def files(self) -> list[str]:
        """Files that are read besides the logs."""
        policies = (text.removeprefix("light=").removeprefix("heavy=") for text in self.policy)
        return [name for name in (*policies, self.gun, self.surfaces, self.vehicle, self.depot) if name]

    def settings(self, reading: Reading | None = None) -> Settings:
        """The same, read and checked, with how logs are read."""
        # First, while few calls stand below: under our own modules, five calls each, its tables of types lie
        # across two pieces of the interpreter's stack, of which Python 3.11 fetches and gives back the second
        # at every call (600 times, a thirtieth of a check).
        import numpy as np  # noqa: F401

        from thermlog.pipeline.settings import gather_settings

        stated = asdict(self)
        alike = stated.pop("skins_alike")
        gathered = gather_settings(reading=None if reading is None else reading.options(), **stated)
        return gathered if alike is None else gathered.with_skins(alike)


_stated = partial(click.option, cls=StatedOption)
_READING = (
    _stated("--unit", type=click.Choice(["C", "F", "K"], case_sensitive=False), metavar="C|F|K",
            help="Unit of the readings where the log does not say."),
    _stated("--ambient", callback=given_air, metavar="TEMPERATURE",
            help="Air temperature where the log does not say: 18, 18C or 64F; without a letter °C, "
                 "and refused beside readings in °F."),
    _stated("--ambient-sigma", type=FiniteRange(min=0.0, min_open=True), metavar="K",
            help="Standard uncertainty of it in kelvin; else the policy's."),
    _stated("--override", multiple=True, type=click.Choice(["unit", "ambient"]),
            help="Take this option even where a log states otherwise; else such a log is refused. "
                 "May be repeated."),
    _stated("--vehicle-name", callback=vehicle_name, metavar="NAME",
            help="Vehicle where the log states none."),
    _stated("--drive", type=click.Choice(["normal", "coast", "verification"]),
            help="Kind of drive where the log states none."),
    _stated("--delimiter", metavar="SIGN", help='Sign between columns: ",", ";", "|" or "tab".'),
    _stated("--decimal", type=click.Choice([".", ","]), help="Decimal mark."),
    _stated("--encoding", metavar="NAME", help="Text encoding, such as utf-8 or cp1252."),
    _stated("--date-order", type=click.Choice(["dmy", "mdy"]), help="Day or month first in dates."),
    _stated("--country", callback=kept_side, metavar="CODE",
            help="Two letters; tells which side is the near side."),
    _stated("--traffic-side", type=click.Choice(["left", "right"]),
            help="Side traffic keeps to: the near side."),
    _stated("--drive-side", type=click.Choice(["left", "right"]), help="Side the driver sits on."),
    _stated("--language", metavar="NAME", help="Language of short position codes, such as german."),
    _stated("--count", type=click.Choice(["combined", "per_unit"]),
            help="Axles counted through a combination, or anew for each trailer."),
    _stated("--columns", metavar="MAP.toml",
            help="Column map for a log of unusual layout."),
    _stated("--seen", multiple=True, callback=known_sights, metavar="WHAT",
            help="What was seen: smoke, sparks, smell, ..., as in \"smoke at RF\". May be repeated."),
)  # fmt: skip
_JUDGING = (
    _stated("--policy", multiple=True, metavar="NAME|FILE",
            help="light, heavy or a file of your own; else it follows from the vehicle. One for each "
                 "weight of vehicle: --policy light=FILE --policy heavy=FILE."),
    _stated("--law", type=click.Choice(["exponential", "power"]), default="exponential",
            show_default=True,
            help="Law of cooling: Newton's, or the 5/4 power of natural convection."),
    _stated("--gun", metavar="FILE.toml",
            help="Description of the gun: setting, band, accuracy, field check; else a usual gun."),
    _stated("--surface", multiple=True, metavar="WHERE=WHAT",
            help="Surface aimed at, so that readings are corrected: 1L.hat=red_rust, hat=0.8, "
                 "\"rear left=0.6\", rear=0.8, all=matt_black_paint. Any word that a log may have "
                 "for a wheel or an axle. May be repeated."),
    _stated("--surfaces", metavar="FILE.toml", help="Table of surfaces of your own."),
    _stated("--vehicle", metavar="FILE.toml",
            help="Description of the vehicle: axles, brakes, split, tyres. It is for all logs named, "
                 "instead of what the logs say."),
    _stated("--depot", metavar="FILE.toml",
            help="The units of your depot: what each is, how its logs are read and judged."),
    _stated("--skins-alike", type=FiniteRange(min=0.0, max=1.0), metavar="SHARE",
            help="Share of vehicles whose brakes look alike to the gun, 0 to 1, as a fleet learned it; else "
                 "the policy's."),
)  # fmt: skip
_CHART_ENDINGS = (".png", ".svg", ".pdf")
_FORCE = click.option("-f", "--force", is_flag=True, help="Replace files that exist.")


def reading_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of reading as one argument ``reading``."""
    return gathered("reading", Reading, _READING)(command)


def judging_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options of judging as one argument ``judging``."""
    return gathered("judging", Judging, _JUDGING)(command)


def writing_options(*formats: str) -> Callable[[_Command], Callable[..., Any]]:
    """Give a command the options of its result as one argument ``writing``; the first format is default."""
    options = (
        click.option("--format", "output_format", type=click.Choice(formats), default=formats[0],
                     show_default=True, help="Form of the result."),
        click.option("--show", type=click.Choice(["C", "F"], case_sensitive=False), default="C",
                     metavar="C|F", show_default=True, help="Unit of text and chart; JSON and CSV speak °C."),
        click.option("-o", "--output", metavar="FILE", help="Write the result here, not on the screen."),
        _FORCE,
        click.option("-q", "--quiet", is_flag=True, help="Text: only what must be read."),
    )  # fmt: skip
    return gathered("writing", Writing, options)


def chart_option(explained: str) -> Callable[[_Command], _Command]:
    """``--chart FILE`` with a known ending; `explained` tells what is drawn."""
    return click.option(
        "--chart", callback=_known_ending, metavar="FILE", help=f"{explained}: .png, .svg or .pdf."
    )


CHART_WIDTH = click.option(
    "--chart-width", type=click.Choice(["wide", "narrow"]), default="wide", show_default=True,
    help="Draw for a screen and paper, or for a phone: one panel below the other.",
)  # fmt: skip


def force_option(command: _Command) -> _Command:
    """``--force`` alone, for a command that writes files but prints no result."""
    return _FORCE(command)


def exit_zero_option(command: _Command) -> _Command:
    """``--exit-zero``."""
    return click.option(
        "--exit-zero", is_flag=True, help="Leave with code 0 even if something asks for a look."
    )(command)


def _known_ending(ctx: click.Context, param: click.Parameter, value: str | None) -> str | None:  # noqa: ARG001
    if value is not None and not value.lower().endswith(_CHART_ENDINGS):
        msg = f'"{value}" does not end in {", ".join(_CHART_ENDINGS)}'
        raise click.BadParameter(msg)
    return value


def gathered(
    argument: str, kind: type[Any], options: tuple[Callable[[Any], Any], ...]
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Give a command `options`, handed over together as one argument that holds a record of `kind`."""
    names = tuple(kind.__struct_fields__)

    def decorator(command: Callable[..., Any]) -> Callable[..., Any]:
        @wraps(command)
        def with_record(**given: Any) -> Any:
            record = kind(**{name: given.pop(name) for name in names})
            return command(**{argument: record}, **given)

        decorated: Callable[..., Any] = with_record
        for option in reversed(options):
            decorated = option(decorated)
        return decorated

    return decorator

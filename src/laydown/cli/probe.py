"""``laydown probe``: look at a probe log, fit a dryer to it, and keep watch over the dryers."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from laydown.cli.plan import ShopFolder

if TYPE_CHECKING:
    from laydown.domain.probe_log import ProbeConditions
    from laydown.services.probe_fit import ProbeFile

probe = typer.Typer(
    name="probe",
    help="Read logs of a probe, fit dryers and flash units to them, and match dryers.",
    epilog="Belts, garments and wires are hot behind a dryer; the maker's manual and local codes come first.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

LogFile = Annotated[Path, typer.Argument(metavar="LOG.csv", help="The logger's file.", show_default=False)]
LogFiles = Annotated[
    list[Path], typer.Argument(metavar="LOG.csv...", help="One or more loggers' files.", show_default=False)
]
DryerName = Annotated[
    str | None,
    typer.Option(
        "--dryer",
        metavar="NAME",
        help="Dryer or flash unit; needed when there are several.",
        show_default=False,
    ),
]
GarmentName = Annotated[
    str | None,
    typer.Option(
        "--garment",
        metavar="NAME",
        help="Garment on the belt, by name; without it the shelf's first.",
        show_default=False,
    ),
]
Panel = Annotated[
    list[float] | None,
    typer.Option("--panel-c", metavar="°C", help="Panel setting; once, or once a file.", show_default=False),
]
Belt = Annotated[
    list[float] | None,
    typer.Option(
        "--belt",
        metavar="M/MIN",
        help="Belt as dialled; once, or once a file. Without it the curve tells.",
        show_default=False,
    ),
]
Flash = Annotated[
    list[float] | None,
    typer.Option(
        "--flash-s",
        metavar="S",
        help="How long a flash unit flashed; once, or once a file. Without it the curve tells.",
        show_default=False,
    ),
]
Film = Annotated[float, typer.Option("--film-um", metavar="µm", help="Ink on the test piece; 0 for bare cloth.")]
Above = Annotated[
    float | None,
    typer.Option(
        "--above-c",
        metavar="°C",
        help="Temperature that times are counted from; without it 160, under a flash 110.",
        show_default=False,
    ),
]


@probe.command()
def look(file: LogFile) -> None:
    """Show what is understood of a logger's file, without a shop."""
    from laydown.services.probe_fit import preview

    seen = preview(content_of(file), file.name)
    for sentence in seen.told:
        typer.echo(sentence)
    for use in seen.mapping.channels:
        typer.echo(f"column {use.column + 1}, {use.name!r}: {use.lane}, {use.spot}")
    if seen.problem is not None:
        raise seen.problem
    assert seen.log is not None  # for the type checker: without a log there is a problem
    for channel in seen.log.channels:
        low, high = min(channel.temperatures) - 273.15, max(channel.temperatures) - 273.15
        typer.echo(
            f"{channel.name!r}: {len(channel.times)} readings in {channel.times[-1]:.0f} s, {low:.0f} to {high:.0f} °C"
        )


@probe.command()
def read(
    file: LogFile,
    dryer: DryerName = None,
    garment: GarmentName = None,
    panel_c: Panel = None,
    belt: Belt = None,
    flash_s: Flash = None,
    above_c: Above = None,
    shop: ShopFolder = None,
) -> None:
    """Read a log: peaks, time above, lanes, rates, belt speed, and whether it can be believed."""
    from laydown.cli.output import show
    from laydown.cli.probe_tables import ReadingTable
    from laydown.services import probe_fit, probe_machines
    from laydown.services.shelves import open_shop
    from laydown.units import from_celsius

    shelves = open_shop(shop)
    (one,) = _files(shelves, [file], dryer, garment, panel_c, belt, flash_s, 0.0)
    machine = probe_machines.in_shop(shelves, one.conditions.dryer)
    above = probe_fit.usual_above(machine) if above_c is None else from_celsius(above_c)
    _, reading = probe_fit.read(machine, one, above=above)
    show(ReadingTable(reading, shelves.preferences))


@probe.command()
def fit(
    files: LogFiles,
    dryer: DryerName = None,
    garment: GarmentName = None,
    panel_c: Panel = None,
    belt: Belt = None,
    flash_s: Flash = None,
    film_um: Film = 0.0,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE.toml",
            help="Write the shop's dryers (of a flash unit its presses) with the fitted one.",
            show_default=False,
        ),
    ] = None,
    shop: ShopFolder = None,
) -> None:
    """Fit a dryer or flash unit to logs; with --out plans can use it."""
    from laydown.cli.output import check_file, show, write_file
    from laydown.cli.probe_tables import FitTable
    from laydown.services import probe_fit, probe_machines
    from laydown.services.shelves import open_shop

    if out is not None:
        check_file(out)
    shelves = open_shop(shop)
    logs = _files(shelves, files, dryer, garment, panel_c, belt, flash_s, film_um)
    found = probe_fit.fit(probe_machines.in_shop(shelves, logs[0].conditions.dryer), shelves.climate, logs)
    show(FitTable(found, shelves.preferences))
    if out is not None:
        machine = probe_fit.fitted(found)
        write_file(out, probe_fit.machine_file(probe_machines.with_machine(shelves, machine), machine).encode())
        typer.echo(f"{out}: put it into the shop's folder, and plans use what was fitted")


@probe.command()
def match(
    order: Annotated[Path, typer.Argument(metavar="ORDER.toml", help="The order file.", show_default=False)],
    dryer: Annotated[str, typer.Option("--dryer", metavar="NAME", help="Dryer to match.", show_default=False)],
    shop: ShopFolder = None,
) -> None:
    """Find panel and belt that give an order's curve on another dryer, or by how much they cannot."""
    from laydown.cli.output import show, tell
    from laydown.cli.probe_tables import MatchTable
    from laydown.services import probe_fit
    from laydown.services.planning import plan_order
    from laydown.services.shelves import open_shop, read_order

    shelves = open_shop(shop)
    shelves.dryer(dryer)
    made = plan_order(shelves, read_order(order, shelves), progress=tell)
    for index, print_ in enumerate(made.prints):
        typer.echo(f"{print_.place}:")
        show(MatchTable(probe_fit.match(shelves, made, dryer, print_index=index), shelves.preferences))


def content_of(path: Path) -> bytes:
    """Bytes of a logger's file.

    Raises
    ------
    InvalidInput
        When it cannot be read.
    """
    from laydown.documents.toml_file import LARGEST
    from laydown.errors import InvalidInput

    try:
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except OSError as error:
        raise InvalidInput(f"the file cannot be read ({error.strerror})", where=str(path)) from None


def _files(
    shelves: object,
    paths: list[Path],
    dryer: str | None,
    garment: str | None,
    panel_c: list[float] | None,
    belt: list[float] | None,
    flash_s: list[float] | None,
    film_um: float,
) -> list[ProbeFile]:
    """Files with their conditions, as the options tell them."""
    from laydown.domain.dryer import Dryer
    from laydown.domain.shop import Shop
    from laydown.errors import InvalidInput
    from laydown.services.probe_fit import probe_file
    from laydown.services.probe_machines import in_shop, setting_of
    from laydown.units import from_celsius, from_metre_per_minute, from_micron

    assert isinstance(shelves, Shop)  # for the type checker: the import stays late
    if dryer is None and len(shelves.dryers) != 1:
        known = ", ".join(repr(one.name) for one in shelves.dryers) or "none"
        raise InvalidInput(f"say which dryer; on the shelf: {known}", where="--dryer")
    if garment is None and not shelves.garments:
        raise InvalidInput("there is no garment on the shelf; a probe lies on one", where="--garment")
    machine = in_shop(shelves, dryer or shelves.dryers[0].name)
    usual = machine.setting if isinstance(machine, Dryer) else setting_of(machine, None)
    panels = _each(panel_c, len(paths), "--panel-c")
    belts = _each(belt, len(paths), "--belt")
    flashes = _each(flash_s, len(paths), "--flash-s")
    files = []
    for path, panel, speed, seconds in zip(paths, panels, belts, flashes, strict=True):
        conditions = _conditions(
            machine.name,
            garment or shelves.garments[0].name,
            path,
            setting=usual if panel is None else from_celsius(panel),
            speed=None if speed is None else from_metre_per_minute(speed),
            film=from_micron(film_um),
            flash_seconds=seconds,
        )
        files.append(probe_file(shelves, content_of(path), path.name, conditions))
    return files


def _conditions(
    dryer: str,
    garment: str,
    path: Path,
    *,
    setting: float,
    speed: float | None,
    film: float,
    flash_seconds: float | None,
) -> ProbeConditions:
    import datetime as dt

    from laydown.domain.probe_log import ProbeConditions

    day = dt.datetime.fromtimestamp(path.stat().st_mtime, tz=dt.UTC).date() if path.exists() else dt.date.min
    return ProbeConditions(
        dryer=dryer,
        garment=garment,
        date=day,
        setting=setting,
        speed=speed,
        film=film,
        flash_seconds=flash_seconds,
    )


def _each(values: list[float] | None, count: int, option: str) -> list[float | None]:
    """One value for every file, or the same for all."""
    from laydown.errors import InvalidInput

    if not values:
        return [None] * count
    if len(values) == 1:
        return [values[0]] * count
    if len(values) != count:
        raise InvalidInput(f"{len(values)} values for {count} files; give one for all, or one a file", where=option)
    return list(values)

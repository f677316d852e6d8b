"""``laydown swatch``: start, label, read and fit the shop's test prints."""

from __future__ import annotations

import datetime as dt
import uuid
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from laydown.cli.store import Database

if TYPE_CHECKING:
    from laydown.services.swatch_book import Due, SwatchSheet
    from laydown.services.swatch_start import PassWish

WHO = "command line"

swatch = typer.Typer(
    name="swatch",
    help="Start, label, read and fit the shop's test prints.",
    epilog="Ovens, presses and fresh garments are hot; data sheets and local codes come first.",
    no_args_is_help=True,
    rich_markup_mode=None,
)

Number = Annotated[int, typer.Argument(metavar="NUMBER", help="Number on the label.", show_default=False)]
Lot = Annotated[str, typer.Option("--lot", metavar="LOT", help="Lot of the cloth.", show_default=False)]
Note = Annotated[str, typer.Option("--note", help="Anything worth knowing.", show_default=False)]
When = Annotated[
    str | None,
    typer.Option("--at", metavar="TIME", help="Such as 2026-12-01T14:30; without it now.", show_default=False),
]


@swatch.command("tests")
def protocols(
    name: Annotated[str, typer.Argument(metavar="[TEST]", help="Name of one.", show_default=False)] = "",
    database: Database = None,
) -> None:
    """List the tests that may be run, or show one."""
    from laydown.documents.protocol_file import protocol_text
    from laydown.services import swatch_start
    from laydown.services.opening import open_database

    with open_database(database) as store:
        if name:
            typer.echo(protocol_text(swatch_start.test_named(store, name)), nl=False)
            return
        for one in swatch_start.tests(store):
            typer.echo(f"{one.name:20} {one.title} ({one.subject.value}; {one.grade.value})")


@swatch.command()
def start(  # one option for each thing that a swatch is
    test: Annotated[str, typer.Argument(metavar="TEST", help="Name of the test.", show_default=False)],
    garment: Annotated[
        str, typer.Option("--garment", metavar="NAME", help="Garment of the shelf.", show_default=False)
    ] = "",
    order: Annotated[
        int | None, typer.Option("--order", metavar="NUMBER", help="Order whose plan is tested.", show_default=False)
    ] = None,
    plan: Annotated[
        int | None, typer.Option("--plan", metavar="NUMBER", help="Plan of that order.", show_default=False)
    ] = None,
    place: Annotated[str, typer.Option("--place", help="Print of the order.", show_default=False)] = "",
    ink: Annotated[str, typer.Option("--ink", metavar="NAME", help="Ink of a drawdown.", show_default=False)] = "",
    print_: Annotated[
        list[str] | None,
        typer.Option(
            "--pass",
            metavar="INK|SCREEN|HITS",
            help="A pass in the order of printing; 'INK|SCREEN|HITS|flash' with a flash after it.",
            show_default=False,
        ),
    ] = None,
    dryer: Annotated[str, typer.Option("--dryer", metavar="NAME", show_default=False)] = "",
    panel_c: Annotated[float | None, typer.Option("--panel-c", metavar="°C", show_default=False)] = None,
    belt: Annotated[float | None, typer.Option("--belt", metavar="M/MIN", show_default=False)] = None,
    area_cm2: Annotated[
        float | None,
        typer.Option("--area-cm2", metavar="CM²", help="Inked area, for what is weighed.", show_default=False),
    ] = None,
    film_um: Annotated[
        float | None,
        typer.Option("--film-um", metavar="µM", help="Cured film of a drawdown by a gauge.", show_default=False),
    ] = None,
    lot: Lot = "",
    at: When = None,
    later: Annotated[bool, typer.Option("--later", help="It is still to be made.")] = False,
    note: Note = "",
    database: Database = None,
) -> None:
    """Start a swatch and say its number and when to read it."""
    from laydown import units
    from laydown.errors import InvalidInput
    from laydown.services import swatch_start
    from laydown.services.opening import open_database
    from laydown.services.swatch_readings_form import film_of

    made = None if later else moment(at)
    area = None if area_cm2 is None else units.from_cm2(area_cm2)
    with open_database(database) as store:
        if order is not None:
            if plan is None:
                raise InvalidInput("name the plan of that order as well", where="--plan")
            sheet, _ = swatch_start.start_from_plan(
                store,
                order,
                plan,
                protocol=test,
                key=uuid.uuid4().hex,
                who=WHO,
                place=place,
                lot=lot or None,
                made_at=made,
                inked_area=area,
                note=note,
            )
        else:
            sheet, _ = swatch_start.start_from_cloth(
                store,
                protocol=test,
                key=uuid.uuid4().hex,
                who=WHO,
                garment=garment,
                ink=ink,
                lot=lot,
                passes=[_pass(one) for one in print_ or ()],
                dryer=dryer,
                panel=None if panel_c is None else units.from_celsius(panel_c),
                belt=None if belt is None else units.from_metre_per_minute(belt),
                made_at=made,
                inked_area=area,
                film_thickness=None if film_um is None else film_of(str(film_um), "", "--film-um"),
                note=note,
            )
    typer.echo(f"swatch {sheet.stored.number}: {sheet.protocol.title}, {sheet.swatch.garment or sheet.swatch.ink}")
    for line in _due_lines(sheet):
        typer.echo(line)


@swatch.command("list")
def list_(
    text: Annotated[str, typer.Argument(metavar="[WORDS]", show_default=False)] = "",
    due: Annotated[bool, typer.Option("--due", help="Only those with something to read now.")] = False,
    database: Database = None,
) -> None:
    """List swatches, the newest first."""
    from laydown.services import swatch_book
    from laydown.services.opening import open_database

    now = dt.datetime.now(dt.UTC)
    with open_database(database) as store:
        found = swatch_book.find(store, text=text)
    if not found:
        words = f"no swatch has {text!r} in it" if text else "no swatch yet; 'laydown swatch start' makes the first"
        typer.echo(words)
    for sheet in found:
        waits = [one for one in sheet.due if one.state(now) in {"now", "overdue"}]
        if due and not waits:
            continue
        made = sheet.swatch
        lot = f", lot {made.lot}" if made.lot else ""
        told = f"{sheet.stored.number:5}  {made.state.value:8} {sheet.protocol.title}, {made.garment or made.ink}{lot}"
        typer.echo(told + (f"; to read: {_due_words(waits[0])}" if waits else ""))


@swatch.command()
def show(number: Number, database: Database = None) -> None:
    """Show a swatch with its readings and what is due."""
    from laydown.domain.shop import Preferences
    from laydown.services import swatch_book, swatch_readings_form
    from laydown.services.opening import open_database

    with open_database(database) as store:
        sheet = swatch_book.sheet(store, number)
    made = sheet.swatch
    typer.echo(f"swatch {number}: {sheet.protocol.title}, {made.state.value}")
    typer.echo(f"cloth: {made.garment or f'drawdown of {made.ink}'}" + (f", lot {made.lot}" if made.lot else ""))
    typer.echo(f"print: {made.stack.label if made.stack else 'bare'}")
    typer.echo(f"made: {_local(made.made_at) if made.made_at else 'not yet'}")
    for line in _due_lines(sheet):
        typer.echo(line)
    for row in sheet.readings:
        one = row.reading
        told = swatch_readings_form.words_of(one.value, one.reads, Preferences())
        gone = f" (corrected by reading {sheet.corrected[row.number]})" if row.number in sheet.corrected else ""
        part = f", {one.part}" if one.part else ""
        typer.echo(f"reading {row.number}: {told}{part}, {_local(one.taken_at)} by {one.operator}{gone}")


@swatch.command()
def labels(
    numbers: Annotated[list[int], typer.Argument(metavar="NUMBER...", show_default=False)],
    out: Annotated[Path, typer.Option("--out", metavar="FILE.pdf", help="PDF to write.")] = Path("labels.pdf"),
    sheet: Annotated[str, typer.Option("--sheet", help="a4, letter, or a small label such as 50x30 (mm).")] = "a4",
    first: Annotated[int, typer.Option("--first", help="First free place of the sheet.")] = 1,
    address: Annotated[
        str, typer.Option("--address", metavar="URL", help="By which tablets reach the app.")
    ] = "http://127.0.0.1:8300",
    database: Database = None,
) -> None:
    """Write labels with a code, number, cloth, stack and when to read, as PDF."""
    from laydown.cli.output import check_file, write_file
    from laydown.services import swatch_labels
    from laydown.services.opening import open_database

    check_file(out)
    with open_database(database) as store:
        pdf = swatch_labels.labels(store, numbers, sheet=sheet, base=address.rstrip("/"), first=first)
    write_file(out, pdf)
    typer.echo(f"{out}: {len(numbers)} label{'s' if len(numbers) > 1 else ''}")


@swatch.command()
def fit(
    garment: Annotated[str, typer.Argument(metavar="GARMENT", help="Name on the shelf.", show_default=False)],
    lot: Lot = "",
    database: Database = None,
) -> None:
    """Fit the bleed model to all readings of a cloth lot, and say what it found."""
    from laydown.services import cloth_fit
    from laydown.services.cloth_fit_view import view_of
    from laydown.services.opening import open_database

    with open_database(database) as store:
        found = cloth_fit.fit_now(store, garment, lot, who=WHO)
    view = view_of(found)
    for one in view["inputs"]:
        told = f"{one['prior']} before, {one['posterior']} after, {one['kept']} of the spread left"
        typer.echo(f"{one['name']} [{one['unit']}]: {told}")
    for sentence in (*view["conflicts"], *(f"not used: {one}" for one in view["unused"])):
        typer.echo(sentence)
    if view["forecast"]:
        typer.echo(f"colour difference on day {view['day']:g}, kept at room temperature: {view['forecast']}")


@swatch.command()
def measured(
    kind: Annotated[str, typer.Argument(metavar="[KIND]", help="transfer, optics or tone.", show_default=False)] = "",
    ink: Annotated[str, typer.Option("--ink", metavar="NAME", help="Ink, for optics.", show_default=False)] = "",
    use: Annotated[bool, typer.Option("--use", help="Let plans use it from now on.")] = False,
    database: Database = None,
) -> None:
    """Say what weighings, drawdowns and tone strips tell of the shop's own screens and inks."""
    from laydown.errors import InvalidInput
    from laydown.services import shop_fits
    from laydown.services.opening import open_database
    from laydown.services.shop_fits_view import title_of, view_of

    if use and not kind:
        raise InvalidInput("say which: transfer, optics or tone", where="--use")
    with open_database(database) as store:
        if not kind:
            for one in shop_fits.sheets(store):
                state = one.problem or f"{len(one.swatches)} swatches, {len(one.readings)} readings"
                typer.echo(f"{title_of(one)}: {state}")
            return
        found = shop_fits.use(store, kind, ink, who=WHO) if use else shop_fits.sheet(store, kind, ink)
    view = view_of(found)
    typer.echo(view["title"])
    if found.problem:
        typer.echo(found.problem)
    for quantity in view["quantities"]:
        before = f"; before {quantity['prior']}" if quantity["prior"] else ""
        typer.echo(f"{quantity['name']}: {quantity['posterior']}{before}")
    for check in view["checks"]:
        typer.echo(f"{check['label']}: read {check['read']}, foretold {check['predicted']}, pull {check['pull']}")
    for sentence in (*view["warnings"], *(f"not used: {one}" for one in view["unused"])):
        typer.echo(sentence)
    typer.echo(view["standing"])


@swatch.command()
def propose(database: Database = None) -> None:
    """List the tests that would save most in the orders that wait, with the sum behind each."""
    from laydown.services.opening import open_database
    from laydown.services.proposals import proposals

    with open_database(database) as store:
        found = proposals(store, dt.date.today())  # noqa: DTZ011 - the day at the shop
    for one in found:
        cloth = f", {one.garment}" if one.garment else ""
        told = " + ".join(f"{term.worth:.2f} ({term.name})" for term in one.terms)
        typer.echo(f"{one.protocol.title}{cloth}: {one.worth:.2f} {one.currency} = {told}; costs {one.cost:.2f}")
    if not found:
        typer.echo("no order waits for a test")


def moment(said: str | None) -> dt.datetime:
    """Moment that somebody wrote, by this machine's clock; now when nobody did.

    Raises
    ------
    InvalidInput
        When it is none.
    """
    from laydown.errors import InvalidInput

    if said is None:
        return dt.datetime.now(dt.UTC)
    try:
        return dt.datetime.fromisoformat(said).astimezone()
    except (ValueError, OverflowError, OSError):
        raise InvalidInput(f"{said!r} is no moment; write it as 2026-12-01T14:30", where="--at") from None


def _pass(said: str) -> PassWish:
    from laydown.errors import InvalidInput
    from laydown.services.swatch_start import PassWish

    words = [word.strip() for word in said.split("|")]
    if len(words) not in {3, 4} or words[2] not in {"1", "2", "3", "4", "5", "6"} or words[3:] not in ([], ["flash"]):
        raise InvalidInput(f"{said!r} is no pass; write it as 'INK|SCREEN|2' or 'INK|SCREEN|2|flash'", where="--pass")
    return PassWish(ink=words[0], screen=words[1], hits=int(words[2]), flash=len(words) == 4)


def _due_lines(sheet: SwatchSheet) -> list[str]:
    return [f"  read {_due_words(one)}" for one in sheet.due if not one.done]


def _due_words(one: Due) -> str:
    from laydown.services.swatch_labels import after_words

    part = f" of the {one.wanted.part}" if one.wanted.part else ""
    left = one.wanted.times - len(one.taken)
    when = _local(one.at) if one.at else f"{after_words(one.wanted.after)} after the dryer"
    return f"{one.wanted.reads.value}{part}, {left} time{'s' if left != 1 else ''}, {when}"


def _local(moment_: dt.datetime) -> str:
    return moment_.astimezone().strftime("%Y-%m-%d %H:%M")

"""``laydown swatch read`` and ``laydown swatch import``: readings into the shop's database."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Annotated, Any

import typer

from laydown.cli.store import Database
from laydown.cli.swatch import WHO, Note, Number, When, moment, swatch

commands = swatch
"""The whole group; importing this file adds the commands for readings to it."""

Part = Annotated[str, typer.Option("--part", help="Part of the swatch, such as 'warm half'.", show_default=False)]


@swatch.command()
def read(
    number: Number,
    lab: Annotated[str, typer.Option("--lab", metavar="'L a b'", help="Colour.", show_default=False)] = "",
    light: Annotated[str, typer.Option("--light", help="Light and observer of the colour.")] = "D65/10",
    stain: Annotated[str, typer.Option("--stain", metavar="GRADE", help="Staining grade.", show_default=False)] = "",
    change: Annotated[str, typer.Option("--change", metavar="GRADE", help="Change grade.", show_default=False)] = "",
    mass_g: Annotated[str, typer.Option("--mass-g", metavar="G", show_default=False)] = "",
    temperature_c: Annotated[str, typer.Option("--temperature-c", metavar="°C", show_default=False)] = "",
    tone: Annotated[str, typer.Option("--tone", metavar="%", show_default=False)] = "",
    verdict: Annotated[str, typer.Option("--verdict", metavar="pass|fail", show_default=False)] = "",
    photo: Annotated[Path | None, typer.Option("--photo", metavar="FILE", show_default=False)] = None,
    part: Part = "",
    area: Annotated[str, typer.Option("--area", help="What was under the instrument.", show_default=False)] = "",
    instrument: Annotated[str, typer.Option("--instrument", show_default=False)] = "",
    by: Annotated[str, typer.Option("--by", metavar="NAME", help="Who read it.", show_default=False)] = "",
    at: When = None,
    corrects: Annotated[
        int | None,
        typer.Option("--corrects", metavar="READING", help="Number of the reading it replaces.", show_default=False),
    ] = None,
    note: Note = "",
    database: Database = None,
) -> None:
    """Keep one reading of a swatch; nothing is overwritten, a correction names the reading it replaces."""
    from laydown.domain.protocol import Reads
    from laydown.domain.shop import Preferences
    from laydown.errors import InvalidInput
    from laydown.services import swatch_readings, swatch_readings_form
    from laydown.services.opening import open_database

    given = [
        (Reads.COLOUR, lab),
        (Reads.STAINING, stain),
        (Reads.CHANGE, change),
        (Reads.MASS, mass_g),
        (Reads.TEMPERATURE, temperature_c),
        (Reads.TONE, tone),
        (Reads.VERDICT, verdict),
        (Reads.PHOTO, str(photo or "")),
    ]
    said = [(reads, text) for reads, text in given if text]
    if len(said) != 1:
        raise InvalidInput("name exactly one thing that was read, for example --lab '88.4 3.1 1.2' or --stain 4-5")
    reads, text = said[0]
    words = text.replace(";", " ").split()
    if reads is Reads.COLOUR and len(words) != 3:
        raise InvalidInput("a colour is three numbers, L*, a* and b*, with blanks between", where="--lab")
    if reads is Reads.VERDICT and verdict not in {"pass", "fail"}:
        raise InvalidInput(f"{verdict!r} is no verdict; allowed are pass and fail", where="--verdict")
    with open_database(database) as store:
        sha256 = swatch_readings.add_photo(store, _content(photo), who=WHO) if photo else ""
        fields = {
            "grade": text,
            "mass": text,
            "temperature": text,
            "tone": text,
            "passed": "yes" if verdict == "pass" else "no",
            "photo": sha256,
            "light": light,
            "instrument": instrument,
        }
        if reads is Reads.COLOUR:
            fields |= dict(zip(("lightness", "a", "b"), words, strict=True))
        value = swatch_readings_form.value_of_fields(reads, fields, Preferences(), name=f"swatch {number}")
        kept, _ = swatch_readings.add(
            store,
            number,
            key=uuid.uuid4().hex,
            reads=reads,
            value=value,
            taken_at=moment(at),
            who=WHO,
            operator=by,
            part=part,
            area=area,
            corrects=corrects,
            note=note,
        )
    typer.echo(f"reading {kept.number} of swatch {number} kept")


@swatch.command()
def change(
    number: Number,
    area_cm2: Annotated[
        float | None,
        typer.Option("--area-cm2", metavar="CM²", help="Inked area, for what is weighed.", show_default=False),
    ] = None,
    film_um: Annotated[
        float | None,
        typer.Option("--film-um", metavar="µM", help="Cured film of a drawdown by a gauge.", show_default=False),
    ] = None,
    film_error_um: Annotated[
        float | None,
        typer.Option("--film-error-um", metavar="µM", help="How far the gauge is off.", show_default=False),
    ] = None,
    lot: Annotated[str | None, typer.Option("--lot", metavar="LOT", show_default=False)] = None,
    note: Annotated[str | None, typer.Option("--note", metavar="WORDS", show_default=False)] = None,
    made: Annotated[
        str | None, typer.Option("--made", metavar="MOMENT", help="When it left the dryer.", show_default=False)
    ] = None,
    drop: Annotated[bool, typer.Option("--drop", help="It counts no longer; nothing is deleted.")] = False,
    database: Database = None,
) -> None:
    """Say of a swatch how large its inked area is, how thick its film, its lot, or when it was made; or drop it."""
    from laydown import units
    from laydown.errors import InvalidInput
    from laydown.services import swatch_book
    from laydown.services.opening import open_database
    from laydown.services.swatch_readings_form import film_of

    changes: dict[str, Any] = {name: said for name, said in (("lot", lot), ("note", note)) if said is not None}
    if area_cm2 is not None:
        changes["inked_area"] = units.from_cm2(area_cm2)
    if film_um is not None:
        error = "" if film_error_um is None else str(film_error_um)
        changes["film_thickness"] = film_of(str(film_um), error, "--film-um")
    if made is not None:
        changes["made_at"] = moment(made)
    if drop:
        changes["state"] = swatch_book.SwatchState.DROPPED
    if not changes:
        raise InvalidInput("say what changes, for example --area-cm2 400")
    with open_database(database) as store:
        revision = swatch_book.sheet(store, number).stored.revision
        swatch_book.keep(store, number, revision=revision, who=WHO, **changes)
    typer.echo(f"swatch {number} changed")


@swatch.command("import")
def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="CGATS, CxF or CSV.", show_default=False)],
    keep: Annotated[bool, typer.Option("--keep", help="Keep what goes somewhere; without it only look.")] = False,
    to: Annotated[
        list[str] | None,
        typer.Option(
            "--to",
            metavar="SAMPLE=NUMBER/PART/AREA",
            help="Where a sample goes, when its name does not say it.",
            show_default=False,
        ),
    ] = None,
    light: Annotated[str, typer.Option("--light", help="Where the file does not say it.", show_default=False)] = "",
    database: Database = None,
) -> None:
    """Show what an instrument's file holds and which swatch each sample goes to; with --keep, keep it."""
    from laydown.errors import InvalidInput
    from laydown.services import measurement_import
    from laydown.services.measurement_import import Target
    from laydown.services.opening import open_database

    named: dict[str, Target] = {}
    for one in to or ():
        sample, _, where = one.rpartition("=")
        number, _, place = where.partition("/")
        part, _, area = place.partition("/")
        if not sample or not number.isdecimal():
            raise InvalidInput(f"{one!r} names no swatch; write it as 'SAMPLE=12/warm half'", where="--to")
        named[sample] = Target(swatch=int(number), part=part, area=area)
    asked = measurement_import.asked_of({"light": light})
    with open_database(database) as store:
        seen = measurement_import.preview(store, file.name, _content(file), who=WHO, asked=asked)
        targets = [
            named.get(one.name, target) for one, target in zip(seen.file.measurements, seen.targets, strict=True)
        ]
        for line in seen.file.lines:
            typer.echo(line)
        for measured, target in zip(seen.file.measurements, targets, strict=True):
            where = (
                ", ".join(filter(None, (f"swatch {target.swatch}", target.part, target.area))) if target else "nowhere"
            )
            typer.echo(f"{measured.name} -> {where}")
        if not keep:
            return
        done = measurement_import.keep(store, seen.sha256, file.name, targets, who=WHO, asked=asked)
    for warning in done.warnings:
        typer.echo(f"warning: {warning}")
    typer.echo(f"{len(done.new)} kept, {len(done.same)} were there, {done.left_out} left out")


@swatch.command("enter")
def enter(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE.csv",
            help="swatch, piece, before_g, after_g; or swatch, bare_card_g, wet_card_g; or swatch, film_percent, "
            "print_percent.",
            show_default=False,
        ),
    ],
    keep: Annotated[bool, typer.Option("--keep", help="Keep it; without it only look.")] = False,
    database: Database = None,
) -> None:
    """Show what a list of masses or tones says; with --keep, keep every line of it, or none."""
    from laydown.domain.shop import Preferences
    from laydown.errors import InvalidInput
    from laydown.services import reading_list, swatch_readings_form
    from laydown.services.opening import open_database

    try:
        text = _content(file).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InvalidInput("this is no text in UTF-8; save the list as CSV (UTF-8)", where=file.name) from None
    with open_database(database) as store:
        done = (reading_list.keep if keep else reading_list.look)(store, file.name, text, who=WHO)
    for one in done.readings:
        what = swatch_readings_form.words_of(one.value, one.reads, Preferences())
        typer.echo(f"line {one.line}: " + ", ".join(filter(None, (f"swatch {one.swatch}", one.part, one.area, what))))
    typer.echo(f"{done.new} {'kept' if keep else 'new'}, {done.same} were there")


def _content(path: Path | None) -> bytes:
    from laydown.errors import InvalidInput

    assert path is not None
    try:
        return path.read_bytes()
    except OSError as error:
        raise InvalidInput(f"the file cannot be read ({error.strerror or error})", where=str(path)) from None

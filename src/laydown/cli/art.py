"""``laydown art``, ``plates`` and ``preview``: from an art file to films and a look at the print."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from laydown.cli.plan import OrderFile, ShopFolder
from laydown.cli.status import DONE, NOTHING_PASSES

PrintNumber = Annotated[
    int, typer.Option("--print", metavar="N", help="Which print of the order, counted from 1.", min=1)
]


def art(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="PNG, TIFF, JPEG, SVG or PDF.", show_default=False)],
    garment: Annotated[
        str | None,
        typer.Option(
            "--garment",
            metavar="NAME",
            help="Garment of the shelf to print on; without it the first one.",
            show_default=False,
        ),
    ] = None,
    width_mm: Annotated[
        float | None,
        typer.Option("--width-mm", metavar="MM", help="Width on the garment, where the file does not say.", min=5),
    ] = None,
    ink: Annotated[
        list[str] | None,
        typer.Option("--ink", metavar="NAME", help="Print with this ink; give it once for each.", show_default=False),
    ] = None,
    at_most: Annotated[
        int | None, typer.Option("--at-most", metavar="N", help="Find so many inks at most.", min=1, max=16)
    ] = None,
    close_cloth: Annotated[
        bool, typer.Option("--print-cloth-colour", help="Print colours that equal the garment's as well.")
    ] = False,
    page: Annotated[int, typer.Option("--page", metavar="N", help="Page of the file.", min=1)] = 1,
    shop: ShopFolder = None,
) -> None:
    """Look at an art file: its size, the inks that print it, and what each plate holds."""
    from laydown.cli.output import show
    from laydown.cli.waiting import bar
    from laydown.domain.art import ArtRequest
    from laydown.report.art_table import ArtTable
    from laydown.services.art import inspect_file, read_art_print
    from laydown.services.shelves import open_shop
    from laydown.units import from_mm

    shelves = open_shop(shop)
    cloth = shelves.garment(garment) if garment is not None else shelves.garments[0]
    request = ArtRequest(
        width=None if width_mm is None else from_mm(width_mm),
        inks=tuple(ink or ()),
        at_most=at_most,
        open_cloth=not close_cloth,
        page=page,
    )
    with bar(f"reading {file.name}"):
        facts = inspect_file(file, page=page)
        made = read_art_print(
            file, request, name=file.name, place="print", garment=cloth, shop=shelves, where=str(file)
        )
    show(ArtTable((*facts, f"On {cloth.name}."), made, shelves.preferences))


def plates(
    order: OrderFile,
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder for the films.", show_default=False)],
    number: PrintNumber = 1,
    per_inch: Annotated[
        float, typer.Option("--per-inch", metavar="N", help="Pixels per inch of the film printer.", min=60, max=10_000)
    ] = 720.0,
    dot: Annotated[
        str, typer.Option("--dot", metavar="SHAPE", help="round, elliptical, square, line or scattered.")
    ] = "elliptical",
    angle: Annotated[
        float | None,
        typer.Option("--angle", metavar="DEGREES", help="Of the rows of dots; 22.5 without it.", show_default=False),
    ] = None,
    mirrored: Annotated[bool, typer.Option("--mirrored", help="Left and right changed over.")] = False,
    keep_gain: Annotated[
        bool, typer.Option("--keep-gain", help="Do not make the dots smaller for what they gain in print.")
    ] = False,
    shop: ShopFolder = None,
) -> int:
    """Plan an order and write a film for each plate, as TIFF and PDF."""
    from laydown.cli.output import show, tell
    from laydown.cli.waiting import bar
    from laydown.report.film_table import FilmTable
    from laydown.services.planning import plan_order
    from laydown.services.plates import FilmWishes, checks_of, plates_of, write_plates
    from laydown.services.shelves import open_shop, read_order
    from laydown.units import from_degree, from_per_inch

    shelves = open_shop(shop)
    made_plan = plan_order(shelves, read_order(order, shelves), progress=tell)
    index = _index(number, len(made_plan.prints))
    if made_plan.prints[index].stack is None:
        typer.echo(f"no stack passes for the {made_plan.prints[index].place}, so there are no plates", err=True)
        return NOTHING_PASSES
    wishes = FilmWishes(
        resolution=from_per_inch(per_inch),
        angle=None if angle is None else from_degree(angle),
        shape=dot,
        undo_gain=not keep_gain,
        mirrored=mirrored,
    )
    made = plates_of(shelves, made_plan, order.parent, print_index=index)
    with bar("writing films", len(made.plates)) as done:
        written = write_plates(shelves, made_plan, made, folder, wishes=wishes, finished=done)
    show(FilmTable(written, made, checks_of(made, wishes), shelves.preferences))
    typer.echo(f"{len(written)} films are in {folder}")
    return DONE


def preview(
    order: OrderFile,
    out: Annotated[Path, typer.Argument(metavar="OUT.png", help="Picture to write.", show_default=False)],
    number: PrintNumber = 1,
    day: Annotated[
        float, typer.Option("--day", metavar="N", help="Days after printing, with the dye of that day.", min=0, max=60)
    ] = 0.0,
    columns: Annotated[int, typer.Option("--columns", metavar="N", help="Pixels across.", min=64, max=10_000)] = 1000,
    difference: Annotated[
        Path | None,
        typer.Option(
            "--map",
            metavar="MAP.png",
            help="Write where the colour differs: on day 0 from the art, later from day 0; white 0, black ΔE00 10.",
            show_default=False,
        ),
    ] = None,
    shop: ShopFolder = None,
) -> int:
    """Plan an order and show its print on the garment, today or weeks later."""
    from laydown.cli.output import check_file, tell, write_file
    from laydown.cli.waiting import bar
    from laydown.services.planning import plan_order
    from laydown.services.preview import preview as show_print
    from laydown.services.shelves import open_shop, read_order

    for path in (out, difference):
        if path is not None:
            check_file(path)
    shelves = open_shop(shop)
    made_plan = plan_order(shelves, read_order(order, shelves), progress=tell)
    index = _index(number, len(made_plan.prints))
    if made_plan.prints[index].stack is None:
        typer.echo(f"no stack passes for the {made_plan.prints[index].place}, so there is nothing to show", err=True)
        return NOTHING_PASSES
    with bar("drawing the print"):
        made = show_print(shelves, made_plan, order.parent, print_index=index, day=day, columns=columns)
    if difference is not None:
        write_file(difference, made.map_png("from_today" if day > 0 else "from_art", columns=columns))
    write_file(out, made.png())
    typer.echo(made.sentence)
    return DONE


def _index(number: int, prints: int) -> int:
    from laydown.errors import InvalidInput

    if number > prints:
        raise InvalidInput(f"the order has {prints} print{'s' if prints > 1 else ''}, so there is no print {number}")
    return number - 1

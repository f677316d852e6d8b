"""The sheet that the press crew works from."""

from __future__ import annotations

from pathlib import Path

from laydown.domain.plan import Plan
from laydown.domain.shop import Shop
from laydown.report.ticket_plates import PlatePicture, PrintPictures

COLUMNS = 640
"""Pixels across the picture of a print."""

PLATE_COLUMNS = 320
"""Pixels across the picture of a plate."""


def ticket(shop: Shop, plan: Plan, *, folder: Path | str | None = None, code: str | None = "") -> bytes:
    """PDF ticket of a plan, on the paper and in the units that the shop prefers; one page a print.

    Parameters
    ----------
    shop : Shop
    plan : Plan
    folder : Path, optional
        That the order's art lies in. With it, prints with measured art are shown on their cloth, and a further page
        shows each plate.
    code : str or None
        What the QR code holds; the order's number (or name) when empty; None: no code.

    Raises
    ------
    InvalidInput
        When the art cannot be read any more.
    """
    from laydown.report.ticket import ticket_pdf

    pictures: dict[str, PrintPictures] = {}
    if folder is not None:
        for index, (print_, planned) in enumerate(zip(plan.order.prints, plan.prints, strict=True)):
            if print_.art is not None and planned.stack is not None:
                pictures[print_.place] = print_pictures(shop, plan, folder, print_index=index)
    return ticket_pdf(plan, shop.preferences, pictures, code=code)


def print_pictures(shop: Shop, plan: Plan, folder: Path | str, *, print_index: int = 0) -> PrintPictures:
    """Print on its cloth and its plates, in small; the parameters are those of `laydown.services.plates.plates_of`."""
    from laydown.artwork.halftone import told_screening
    from laydown.artwork.preview import plate_picture
    from laydown.services.plates import USUAL_WISHES, checks_of, measures_of, plates_of, screening_of
    from laydown.services.preview import preview

    made = plates_of(shop, plan, folder, print_index=print_index)
    seen = preview(shop, plan, folder, print_index=print_index, columns=COLUMNS, made=made)
    measures = measures_of(made)
    checks = checks_of(made, measures=measures)
    shown: list[PlatePicture] = []
    for plate, pass_, measured in zip(made.plates, made.passes, measures, strict=True):
        png, size = plate_picture(plate, columns=PLATE_COLUMNS)
        toned = made.ruling is not None and measured.toned > 0
        shown.append(
            PlatePicture(
                png=png,
                size=size,
                measure=measured,
                mesh=pass_.screen.mesh,
                dots=told_screening(screening_of(made, USUAL_WISHES)) if toned else "",
                remarks=tuple(check.sentence for name, check in checks if name == plate.name and not check.ok),
            )
        )
    rows, columns, _ = seen.then.xyz.shape
    return PrintPictures(
        place=made.place, png=seen.png(), size=(columns, rows), plates=tuple(shown), sentence=seen.sentence
    )

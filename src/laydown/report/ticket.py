"""The sheet that a press crew works from, as PDF."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib.resources import files
from io import BytesIO

from laydown.data.typefaces import font_folder
from laydown.domain.plan import Plan
from laydown.domain.shop import Preferences
from laydown.report.plain_text import printable
from laydown.report.ticket_fields import ticket_pages
from laydown.report.ticket_plates import PrintPictures

_PAPER = {"a4": "a4", "letter": "us-letter"}


NO_CODE = "No code: say in the shop's preferences at which address tablets open the app."


def ticket_pdf(
    plan: Plan,
    preferences: Preferences,
    pictures: Mapping[str, PrintPictures] | None = None,
    *,
    code: str | None = "",
) -> bytes:
    """Typeset the ticket of an order: one page a print, and one for its plates where there are pictures of them.

    Parameters
    ----------
    plan : Plan
        A print without a stack gets a page that says not to print, what fails, and what would help.
    preferences : Preferences
        Paper and units.
    pictures : mapping of str to PrintPictures, optional
        Prints and their plates in small, by the place of the print.
    code : str or None
        What the QR code holds; the order's number (or name) when empty. None: there is no code, and a line in its
        place says how to get one.

    Returns
    -------
    bytes
        PDF without creation date: the same plan gives the same bytes. Fonts are embedded; the
        file is tagged for screen readers (PDF/UA-1).

    Notes
    -----
    The data reach the template as JSON, never as markup, so no name can act as a command. Letters that neither of
    the package's fonts has (Chinese, for example) print as an empty box.
    """
    import typst

    identifier = plan.order.identifier or plan.order.name
    ticket = {
        "title": f"Ticket {printable(identifier)}: {printable(plan.order.name)}",
        "paper": _PAPER[preferences.paper],
        "code": None if code is None else qr_svg(code or identifier),
        "no_code": NO_CODE,
        "pages": ticket_pages(plan, preferences, pictures),
    }
    template = (files("laydown.report") / "ticket.typ").read_bytes()
    return typst.compile(
        template,
        font_paths=typst.Fonts(include_system_fonts=False, font_paths=[str(font_folder())]),
        ignore_system_fonts=True,
        sys_inputs={"ticket": json.dumps(ticket)},
        pdf_standards=["ua-1"],
    )


def qr_svg(text: str) -> str:
    """QR code of a text as SVG, with the quiet zone that the standard asks for.

    Parameters
    ----------
    text : str
        Up to 200 characters; stored as UTF-8.
    """
    import segno

    out = BytesIO()
    segno.make(text, error="m", micro=False).save(
        out, kind="svg", border=4, xmldecl=False, svgns=True, title=None, omitsize=True, encoding="utf-8"
    )
    return out.getvalue().decode("utf-8")

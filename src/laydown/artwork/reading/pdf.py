"""PDF: page, size, spot inks, and drawing with PDFium."""

from __future__ import annotations

import ctypes
from io import BytesIO
from typing import Any, BinaryIO

from laydown.artwork.reading.canvas import CHANNELS, Canvas
from laydown.artwork.reading.limits import Limits
from laydown.artwork.reading.pdf_colours import PageColours, inherited, page_colours
from laydown.errors import InvalidInput

_POINTS_PER_INCH = 72.0
_SWATCH = 8


def _open(data: bytes, page: int) -> tuple[Any, Any]:
    """The file and the dictionary of one page, by the library that knows about inks."""
    import pikepdf

    try:
        pdf = pikepdf.open(BytesIO(data))
    except pikepdf.PasswordError:
        raise InvalidInput("the PDF is locked by a password; save it without") from None
    pages = len(pdf.pages)
    if pages == 0:
        raise InvalidInput("the PDF has no page")
    if page > pages:
        raise InvalidInput(f"it has {pages} page{'s' * (pages > 1)}, so there is no page {page}")
    return pdf, pdf.pages[page - 1].obj


def _notes(colours: PageColours) -> list[str]:
    notes = []
    if colours.cmyk:
        notes.append(
            "the PDF has CMYK colours, which were turned into sRGB by general tables and not by a profile of a press; "
            "supply sRGB or spot inks"
        )
    if colours.process and colours.spots:
        notes.append("process inks named in the PDF are in the picture, not among its spot plates")
    if colours.overprint:
        notes.append(
            "the PDF overprints: its spot plates keep what lies below, its picture shows the upper colour only"
        )
    return notes


def _coarsest(page: Any) -> float | None:
    """Least pixels an inch of the pictures that the page shows itself."""
    import pypdfium2.raw as c  # type: ignore[import-untyped]

    found = []
    for item in page.get_objects(filter=[c.FPDF_PAGEOBJ_IMAGE], max_depth=1):
        try:
            data = item.get_metadata()
        except Exception:  # noqa: BLE001, S112 - a picture without readable data only loses its note
            continue
        across, down = float(data.horizontal_dpi), float(data.vertical_dpi)
        if min(across, down) >= 1 and data.width * data.height > 1:
            found.append(min(across, down))
    return min(found) if found else None


def inspect_pdf(file: BinaryIO, page: int, limits: Limits) -> dict[str, Any]:
    """What one page of a PDF is."""
    import pypdfium2 as pdfium

    data = file.read()
    pdf, entry = _open(data, page)
    colours = page_colours(entry)
    if len(colours.spots) > limits.spots:
        raise InvalidInput(f"the PDF names {len(colours.spots)} spot inks; allowed are {limits.spots}")
    unit = inherited(entry, "/UserUnit")
    scale = float(unit) if unit is not None and 0 < float(unit) < 1e6 else 1.0
    shown = pdfium.PdfDocument(data)[page - 1]
    width, height = shown.get_size()
    if not (width > 0 and height > 0):
        raise InvalidInput("the page of the PDF has no size")
    coarsest = _coarsest(shown)
    return {
        "columns": None,
        "rows": None,
        "extent": [width * scale, height * scale],
        "per_inch": [_POINTS_PER_INCH, _POINTS_PER_INCH],
        "image_per_inch": coarsest / scale if coarsest else None,
        "bits": 8,
        "colour": "vector",
        "alpha": True,
        "profile": "",
        "pages": len(pdf.pages),
        "spots": list(colours.spots),
        "notes": _notes(colours),
    }


def _draw(page: Any, memory: Any, columns: int, rows: int, *, grey: bool) -> None:
    """Draw a page straight into memory: RGBA over nothing, or grey over what is there."""
    import pypdfium2.raw as c

    form, width, flags = (c.FPDFBitmap_Gray, 1, 0) if grey else (c.FPDFBitmap_BGRA, CHANNELS, c.FPDF_REVERSE_BYTE_ORDER)
    size = columns * rows * width
    target = (ctypes.c_ubyte * size).from_buffer(memory)
    bitmap = c.FPDFBitmap_CreateEx(columns, rows, form, target, columns * width)
    if not bitmap:
        raise InvalidInput(f"the page cannot be drawn on {columns} x {rows} pixels; ask for a smaller print")
    c.FPDF_RenderPageBitmap(bitmap, page.raw, 0, 0, columns, rows, 0, flags)
    c.FPDFBitmap_Destroy(bitmap)


def _with_plates(data: bytes, page: int) -> bytes:
    """The file with only the page as each ink sees it, and each ink's swatch after that."""
    import pikepdf

    from laydown.artwork.reading.pdf_plates import Plate, swatch

    pdf, entry = _open(data, page)
    count = len(pdf.pages)
    colours = page_colours(entry)
    made = [Plate(pdf, name).page(entry) for name in colours.spots]
    made += [swatch(pdf, name, space) for name, space in colours.spots.items()]
    for one in made:
        pdf.pages.append(pikepdf.Page(one))
    del pdf.pages[:count]
    out = BytesIO()
    pdf.save(out)
    return out.getvalue()


def _spots(data: bytes, page: int, colours: PageColours, canvas: Canvas) -> list[dict[str, Any]]:
    """Draw the plates into the canvas, and say the colours that the file shows them in."""
    import pypdfium2 as pdfium

    document = pdfium.PdfDocument(_with_plates(data, page))
    count = len(colours.spots)
    spots: list[dict[str, Any]] = []
    for index, name in enumerate(colours.spots):
        plane = canvas.spot(len(spots))
        step = canvas.columns
        for start in range(0, len(plane), step):
            plane[start : start + step] = b"\xff" * step
        _draw(document[index], plane, canvas.columns, canvas.rows, grey=True)
        if not _invert(plane):
            continue
        patch = bytearray(_SWATCH * _SWATCH * CHANNELS)
        _draw(document[count + index], patch, _SWATCH, _SWATCH, grey=False)
        middle = (_SWATCH * _SWATCH // 2 + _SWATCH // 2) * CHANNELS
        spots.append({"name": name, "srgb": list(patch[middle : middle + 3])})
    canvas.keep_spots(len(spots))
    return spots


def _invert(plane: memoryview) -> bool:
    """Paper white to no ink, black to solid, a piece at a time; whether there is any ink."""
    flip = bytes(range(255, -1, -1))
    paper = 0
    for start in range(0, len(plane), 1 << 20):
        piece = plane[start : start + (1 << 20)]
        tones = bytes(piece).translate(flip)
        paper += tones.count(0)
        piece[:] = tones
    return paper < len(plane)


def decode_pdf(file: BinaryIO, page: int, columns: int, rows: int, limits: Limits, canvas: Canvas) -> dict[str, Any]:
    """Draw one page and its spot plates on so many pixels."""
    import pypdfium2 as pdfium

    del limits
    data = file.read()
    _, entry = _open(data, page)
    colours = page_colours(entry)
    canvas.open(columns, rows, len(colours.spots))
    _draw(pdfium.PdfDocument(data)[page - 1], canvas.memory, columns, rows, grey=False)
    spots = _spots(data, page, colours, canvas) if colours.spots else []
    printing = {spot["name"] for spot in spots}
    idle = [f"the spot ink {name!r} of the PDF prints nothing on this page" for name in colours.spots.keys() - printing]
    return {"columns": columns, "rows": rows, "bits": 8, "profile": "", "notes": sorted(idle), "spots": spots}


__all__ = ["decode_pdf", "inspect_pdf"]

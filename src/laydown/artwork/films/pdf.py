"""A film as a PDF file: one page of the film's exact size, filled by its one-bit image."""

from __future__ import annotations

import io
from decimal import Decimal
from fractions import Fraction

from laydown import units

POINTS = 72
"""Points per inch."""


def pdf_file(coded: bytes, *, columns: int, rows: int, resolution: float, title: str) -> bytes:
    """Film as the bytes of a PDF file.

    Parameters
    ----------
    coded : bytes
        Group 4 data of all rows, from `laydown.artwork.films.g4.G4Encoder`: the same that stand in the TIFF file.
    columns, rows : int
        Pixels.
    resolution : float
        Pixels per metre.
    title : str

    Notes
    -----
    The page is as large as the film, to a millionth of a point. No date is written, and the file's identity is computed
    from its content: the same film gives the same bytes.
    """
    import pikepdf

    per_inch = Fraction(units.to_per_inch(resolution)).limit_denominator(1000)
    width, height = (_points(pixels, per_inch) for pixels in (columns, rows))
    document = pikepdf.new()
    image = pikepdf.Stream(
        document,
        coded,
        {
            "/Type": pikepdf.Name.XObject,
            "/Subtype": pikepdf.Name.Image,
            "/Width": columns,
            "/Height": rows,
            "/BitsPerComponent": 1,
            "/ColorSpace": pikepdf.Name.DeviceGray,
            "/Filter": pikepdf.Name.CCITTFaxDecode,
            "/DecodeParms": pikepdf.Dictionary({"/K": -1, "/Columns": columns, "/Rows": rows}),
        },
    )
    page = pikepdf.Dictionary(
        {
            "/Type": pikepdf.Name.Page,
            "/MediaBox": pikepdf.Array([0, 0, width, height]),
            "/Resources": pikepdf.Dictionary({"/XObject": pikepdf.Dictionary({"/Film": image})}),
            "/Contents": pikepdf.Stream(document, f"q {width} 0 0 {height} 0 0 cm /Film Do Q".encode()),
        }
    )
    document.pages.append(pikepdf.Page(document.make_indirect(page)))
    document.docinfo["/Title"] = title
    out = io.BytesIO()
    document.save(out, deterministic_id=True)
    return out.getvalue()


def _points(pixels: int, per_inch: Fraction) -> Decimal:
    exact = Fraction(pixels * POINTS) / per_inch
    rounded = Decimal(exact.numerator) / Decimal(exact.denominator)
    return rounded.quantize(Decimal("0.000001")).normalize() + 0


__all__ = ["pdf_file"]

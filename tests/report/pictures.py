"""Drawings and pages as pictures and as elements, for tests that look at them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from io import BytesIO
from typing import Any
from xml.etree import ElementTree as ET

import numpy as np

NAMESPACE = "{http://www.w3.org/2000/svg}"


def tree(svg: str) -> ET.Element:
    """Parse a drawing; fails where it is no XML."""
    return ET.fromstring(svg)


def words(svg: str) -> list[str]:
    """Every text of a drawing, in order."""
    return ["".join(element.itertext()) for element in tree(svg).iter(f"{NAMESPACE}text")]


def grey(svg: str, scale: float = 4.0) -> np.ndarray:
    """Rasterise to grey on white paper, 0 to 255."""
    import vl_convert
    from PIL import Image

    picture = Image.open(BytesIO(vl_convert.svg_to_png(svg, scale=scale))).convert("RGBA")
    paper = Image.new("RGBA", picture.size, "white")
    return np.asarray(Image.alpha_composite(paper, picture).convert("L"), dtype=float)


def page_picture(pdf: bytes, page: int = 0, scale: float = 2.0) -> Any:
    """One page of a PDF as a grey Pillow image."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    picture = document[page].render(scale=scale, grayscale=True).to_pil()
    document.close()
    return picture


@dataclass(frozen=True)
class Run:
    """A piece of text on a page and the box it fills [pt], from the lower left."""

    text: str
    left: float
    bottom: float
    right: float
    top: float


def text_runs(pdf: bytes, page: int = 0) -> list[Run]:
    """Pieces of text on a page, each on one line."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    text = document[page].get_textpage()
    boxes = [text.get_rect(n) for n in range(text.count_rects())]
    runs = [Run(text.get_text_bounded(*box), *box) for box in boxes]
    text.close()
    document.close()
    return runs


def page_text(pdf: bytes, page: int = 0) -> str:
    """All text of a page with blanks and line ends as single blanks."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    text = document[page].get_textpage()
    found = text.get_text_range()
    text.close()
    document.close()
    return re.sub(r"\s+", " ", found)


def squeezed(text: str) -> str:
    """Text without blanks, breaks and zero-width marks, so that wrapping does not matter."""
    return re.sub(r"[\s\u200b\ufffe\u0002-]", "", text)

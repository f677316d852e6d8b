"""Pieces of SVG that every drawing uses: its outside with a title and a description, text, lines."""

from __future__ import annotations

import re

from laydown.report.lettering import FAMILY
from laydown.report.plain_text import markup

_LABEL = re.compile(r' (?:role|aria-[a-z]+)="[^"]*"')
_OPENING = re.compile(r"<svg\b[^>]*>")
_IDENTIFIER = re.compile(r'\bid="([^"]+)"')


def figure(slug: str, title: str, description: str, width: float, height: float, body: str) -> str:
    """Wrap drawn elements into a whole SVG file.

    Parameters
    ----------
    slug : str
        Short ASCII word that starts every id in the drawing, so that several drawings fit into one page.
    title, description : str
        The text alternative: what the drawing is, and what it says.
    width, height : float
        Size in points.
    """
    return described(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}" height="{height:g}" '
        f'viewBox="0 0 {width:g} {height:g}">{body}</svg>\n',
        slug,
        title,
        description,
    )


def described(svg: str, slug: str, title: str, description: str) -> str:
    """Give an SVG a role, a title and a description, and make its ids its own.

    Parameters
    ----------
    svg : str
        One SVG element.
    slug, title, description : str
        As for `figure`.
    """
    for identifier in dict.fromkeys(_IDENTIFIER.findall(svg)):
        if not identifier.startswith(f"{slug}-"):
            svg = svg.replace(f'id="{identifier}"', f'id="{slug}-{identifier}"')
            svg = svg.replace(f"url(#{identifier})", f"url(#{slug}-{identifier})")
    opening = _OPENING.search(svg)
    assert opening is not None
    bare = _LABEL.sub("", opening.group())
    # The whole is one picture with one description; labels of its marks would only be raw numbers.
    marks = _LABEL.sub("", svg[opening.end() :])
    labelled = f'{bare[:-1]} role="img" aria-labelledby="{slug}-title {slug}-desc">'
    words = f'<title id="{slug}-title">{markup(title)}</title><desc id="{slug}-desc">{markup(description)}</desc>'
    return svg[: opening.start()] + labelled + words + marks


def line_through(points: tuple[tuple[float, float], ...]) -> str:
    """Path data through points, without the first command."""
    return "L".join(f"{x:.2f} {y:.2f}" for x, y in points)


def text_at(words: str, x: float, y: float, size: float, *, weight: int = 400, anchor: str = "start") -> str:
    """Text element; the words are escaped here."""
    return (
        f'<text x="{x:.2f}" y="{y:.2f}" font-family="{FAMILY}" font-size="{size:.2f}" font-weight="{weight}" '
        f'text-anchor="{anchor}">{markup(words)}</text>'
    )

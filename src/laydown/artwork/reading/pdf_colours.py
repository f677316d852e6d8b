"""Colour spaces that a PDF page paints with, and the inks they name."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

DEEPEST = 24
"""Forms inside forms, patterns inside forms and so on; what lies deeper is not looked at."""

PROCESS = frozenset({"Cyan", "Magenta", "Yellow", "Black"})
_NO_SPOT = PROCESS | {"All", "None"}

_CMYK_PAINT = re.compile(rb"(?:[\d.]+\s+){4}[kK]\s")


@dataclass(slots=True)
class PageColours:
    """What was found on the way through a page's resources.

    Attributes
    ----------
    spots : dict
        For each spot name a colour space that has it, in the order found.
    process : bool
        Whether process colorants are named beside spots.
    cmyk, overprint : bool
    """

    spots: dict[str, Any] = field(default_factory=dict)
    process: bool = False
    cmyk: bool = False
    overprint: bool = False


def entries(resources: Any, kind: str) -> Iterator[tuple[str, Any]]:
    """Named resources of one kind; none when the file has something else in that place."""
    from pikepdf import Dictionary

    found = resources.get(kind)
    if isinstance(found, Dictionary):
        yield from found.items()


def is_dictionary(thing: Any) -> bool:
    """Whether it is a dictionary or a stream, which has one."""
    from pikepdf import Dictionary, Stream

    return isinstance(thing, Dictionary | Stream)


def plain_name(name: Any) -> str:
    """A name of a PDF in letters: UTF-8 as the standard has it, else Latin as older programs write."""
    raw = re.sub(rb"#([0-9A-Fa-f]{2})", lambda found: bytes([int(found[1], 16)]), name.unparse().removeprefix(b"/"))
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        return raw.decode("latin-1")


def colorants(space: Any) -> list[str]:
    """Names that a Separation or DeviceN space prints with; empty for others."""
    from pikepdf import Array

    if not isinstance(space, Array) or len(space) < 2:
        return []
    kind = str(space[0])
    if kind == "/Separation":
        return [plain_name(space[1])]
    if kind == "/DeviceN" and isinstance(space[1], Array):
        return [plain_name(name) for name in space[1]]
    return []


def base_space(space: Any) -> Any:
    """The space below Indexed and Pattern."""
    from pikepdf import Array

    if isinstance(space, Array) and len(space) > 1 and str(space[0]) in {"/Indexed", "/I", "/Pattern"}:
        return space[1]
    return space


def components(space: Any) -> int | None:
    """How many numbers a colour of that space has; None for patterns and what is no space."""
    from pikepdf import Array

    kind = str(space[0]) if isinstance(space, Array) and len(space) else str(space)
    fixed = {"/DeviceGray": 1, "/G": 1, "/CalGray": 1, "/DeviceRGB": 3, "/RGB": 3, "/CalRGB": 3, "/Lab": 3}
    fixed |= {"/DeviceCMYK": 4, "/CMYK": 4, "/Indexed": 1, "/I": 1, "/Separation": 1}
    if kind in fixed:
        return fixed[kind]
    if kind == "/DeviceN":
        return len(colorants(space))
    if kind == "/ICCBased" and len(space) > 1 and is_dictionary(space[1]):
        return int(space[1].get("/N", 3))
    return None


def inherited(page: Any, key: str) -> Any:
    """An entry of a page, which may stand at one of its parents."""
    node = page
    for _ in range(64):
        if key in node:
            return node[key]
        if "/Parent" not in node:
            return None
        node = node["/Parent"]
    return None


def _note_space(space: Any, found: PageColours) -> None:
    space = base_space(space)
    names = colorants(space)
    for name in names:
        if name and name not in _NO_SPOT:
            found.spots.setdefault(name, space)
    found.process = found.process or bool(PROCESS & set(names))
    found.cmyk = found.cmyk or (not names and components(space) == 4)


def _walk(resources: Any, found: PageColours, seen: set[tuple[int, int]], depth: int) -> None:
    if depth > DEEPEST or not is_dictionary(resources):
        return
    if resources.is_indirect:
        if resources.objgen in seen:
            return
        seen.add(resources.objgen)
    for _, space in entries(resources, "/ColorSpace"):
        _note_space(space, found)
    for _, state in entries(resources, "/ExtGState"):
        if is_dictionary(state) and (state.get("/OP") is True or state.get("/op") is True):
            found.overprint = True
    for kind in ("/XObject", "/Pattern", "/Shading", "/Font"):
        for _, thing in entries(resources, kind):
            if not is_dictionary(thing) or (thing.is_indirect and thing.objgen in seen):
                continue
            if thing.is_indirect:
                seen.add(thing.objgen)
            _note_thing(thing, found, seen, depth)


def _note_thing(thing: Any, found: PageColours, seen: set[tuple[int, int]], depth: int) -> None:
    """A form, image, pattern, shading or font."""
    if "/ColorSpace" in thing and not thing.get("/ImageMask", False):
        _note_space(thing["/ColorSpace"], found)
    if is_dictionary(thing.get("/Shading")) and "/ColorSpace" in thing["/Shading"]:
        _note_space(thing["/Shading"]["/ColorSpace"], found)
    if thing.get("/Subtype") == "/Form":
        found.cmyk = found.cmyk or paints_cmyk(thing)
    if "/Resources" in thing:
        _walk(thing["/Resources"], found, seen, depth + 1)


def paints_cmyk(contents: Any) -> bool:
    """Whether a content stream, or a list of them, sets colours of CMYK by itself."""
    from pikepdf import Array, PdfError, Stream

    parts = list(contents) if isinstance(contents, Array) else [contents]
    for part in parts:
        if isinstance(part, Stream):
            try:
                if _CMYK_PAINT.search(part.read_bytes()):
                    return True
            except PdfError:
                continue
    return False


def page_colours(page: Any) -> PageColours:
    """Inks and spaces of one page.

    Parameters
    ----------
    page : pikepdf.Object
        Dictionary of the page.
    """
    found = PageColours()
    _walk(inherited(page, "/Resources"), found, set(), 0)
    found.cmyk = found.cmyk or paints_cmyk(page.get("/Contents"))
    return found


__all__ = [
    "DEEPEST",
    "PROCESS",
    "PageColours",
    "base_space",
    "colorants",
    "components",
    "entries",
    "inherited",
    "is_dictionary",
    "page_colours",
]

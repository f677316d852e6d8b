"""What an SVG may hold before anything draws it: no file, no address, no entity, no bomb.

The gate reads the SVG into a tree and hands that tree on as new text, so that the drawing library sees exactly what
was checked.
"""

from __future__ import annotations

import base64
import binascii
import re
from io import BytesIO
from xml.etree import ElementTree as ET

from laydown.artwork.reading.kinds import tell_kind
from laydown.artwork.reading.limits import Limits
from laydown.errors import InvalidInput

DEEPEST = 200
"""Elements inside each other; the drawing library dies of some ten thousands."""
MOST_ELEMENTS = 300_000

_URL = re.compile(r"url\(\s*[\"']?\s*([^\"')]*)", re.IGNORECASE)
_ESCAPE = re.compile(r"\\(?:([0-9a-f]{1,6})\s?|(.))", re.IGNORECASE | re.DOTALL)
_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)", re.DOTALL)
_DATA = re.compile(r"data:[^,;]*;base64,", re.IGNORECASE)
_PICTURES = {"PNG": "image/png", "JPEG": "image/jpeg"}
_ALLOWED = "allowed are only #names inside it and PNG or JPEG pictures as data:"


def local(name: str) -> str:
    """A name without its namespace."""
    return name.rpartition("}")[2]


def _unescaped(css: str) -> str:
    """Style text as a style reader understands it: escapes resolved, comments gone."""

    def plain(found: re.Match[str]) -> str:
        code = int(found[1], 16) if found[1] else 0
        return chr(code) if 0 < code < 0x110000 else (found[2] or "")

    return _ESCAPE.sub(plain, _COMMENT.sub("", css))


class Gate:
    """Target of an XML parser that builds a tree of what may pass.

    Parameters
    ----------
    limits : Limits
        Bounds for the pictures inside.
    """

    def __init__(self, limits: Limits) -> None:
        self._limits = limits
        self._tree = ET.TreeBuilder()
        self._depth = 0
        self._elements = 0
        self._style = 0
        self._text = 0
        self._css: list[str] = []
        self._pixels = 0
        self.has_text = False

    def doctype(self, *_: object) -> None:
        """Refuse documents with declarations of their own."""
        raise InvalidInput("the SVG has a DOCTYPE, which can pull in files; delete that line, or save it as plain SVG")

    def pi(self, target: str, *_: object) -> None:
        """Refuse style sheets beside the file; drop other instructions."""
        if target.lower().startswith("xml-stylesheet"):
            raise InvalidInput(f"the SVG refers to a style sheet outside itself; {_ALLOWED}")

    def start(self, tag: str, attributes: dict[str, str]) -> ET.Element:
        """Check one element."""
        self._depth += 1
        self._elements += 1
        if self._depth > DEEPEST:
            raise InvalidInput(f"the SVG has more than {DEEPEST} elements inside each other; ungroup it")
        if self._elements > MOST_ELEMENTS:
            raise InvalidInput(f"the SVG has more than {MOST_ELEMENTS} elements; simplify it")
        name = local(tag)
        if name == "style":
            self._style += 1
        if name == "text":
            self._text += 1
        kept = {key: self._attribute(name, key, value) for key, value in attributes.items() if not _link(name, key)}
        return self._tree.start(tag, kept)

    def data(self, text: str) -> None:
        """Take text; inside a style it is checked when the style ends."""
        if self._style:
            self._css.append(text)
        if self._text and text.strip():
            self.has_text = True
        self._tree.data(text)

    def end(self, tag: str) -> ET.Element:
        """Leave one element."""
        self._depth -= 1
        name = local(tag)
        if name == "style":
            self._style -= 1
            self._check_css("".join(self._css), "a style")
            self._css.clear()
        if name == "text":
            self._text -= 1
        return self._tree.end(tag)

    def close(self) -> ET.Element:
        """The tree."""
        return self._tree.close()

    def _attribute(self, element: str, key: str, value: str) -> str:
        name = local(key)
        if name == "base":
            raise InvalidInput(f"the SVG sets a base address (xml:base); {_ALLOWED}")
        if name in {"href", "src"}:
            return self._reference(element, value.strip())
        self._check_css(value, f"the attribute {name}")
        return value

    def _reference(self, element: str, value: str) -> str:
        if value.startswith("#"):
            return value
        found = _DATA.match(value)
        if found and element in {"image", "feImage"}:
            return self._picture(value[found.end() :])
        raise InvalidInput(f"the SVG refers to {value[:60]!r} outside itself; {_ALLOWED}")

    def _picture(self, encoded: str) -> str:
        """A picture inside the SVG, told by its content and counted against the limit."""
        try:
            content = base64.b64decode("".join(encoded.split()), validate=True)
        except (binascii.Error, ValueError):
            raise InvalidInput("a picture inside the SVG is damaged; embed it again") from None
        kind = tell_kind(content[:4096])
        if kind not in _PICTURES:
            raise InvalidInput("a picture inside the SVG is neither PNG nor JPEG; embed it as one of them")
        if kind == "PNG":
            from laydown.artwork.reading.png import open_png as opener
        else:
            from laydown.artwork.reading.jpeg import open_jpeg as opener
        columns, rows = opener(BytesIO(content), 1).image.size
        self._pixels += columns * rows
        if self._pixels > self._limits.pixels or max(columns, rows) > self._limits.side:
            raise InvalidInput(
                f"the pictures inside the SVG have more than the allowed {self._limits.pixels / 1e6:g} million pixels"
            )
        return f"data:{_PICTURES[kind]};base64,{base64.b64encode(content).decode()}"

    def _check_css(self, css: str, where: str) -> None:
        """Refuse addresses in style text."""
        if "\\" in css or "/*" in css:
            css = f"{css} {_unescaped(css)}"
        lowered = css.lower()
        if "@import" in lowered:
            raise InvalidInput(f"the SVG imports a style sheet in {where}; {_ALLOWED}")
        if "url(" not in lowered:
            return
        for found in _URL.finditer(css):
            if not found[1].strip().lower().startswith(("#", "data:")):
                raise InvalidInput(f"the SVG refers to {found[1][:60]!r} in {where}; {_ALLOWED}")


def _link(element: str, key: str) -> bool:
    """Whether an attribute only says where a click leads; it is dropped."""
    return element == "a" and local(key) == "href"


def through_gate(data: bytes, limits: Limits) -> tuple[ET.Element, Gate]:
    """Tree of an SVG that may be drawn.

    Raises
    ------
    InvalidInput
        It refers to something outside itself, or is no XML, or is too deep or too large.
    """
    if len(data) > limits.text_bytes:
        raise InvalidInput(f"the SVG has {len(data) / 1e6:.0f} MB; allowed are {limits.text_bytes / 1e6:.0f} MB")
    gate = Gate(limits)
    parser = ET.XMLParser(target=gate)  # noqa: S314 - the gate refuses every DOCTYPE, so there are no entities
    try:
        parser.feed(data)
        tree = parser.close()
    except ET.ParseError as error:
        raise InvalidInput(f"the SVG is no well-formed XML ({error}); export it again") from None
    if local(tree.tag) != "svg":
        raise InvalidInput(f"its outermost element is {local(tree.tag)[:40]!r}; it must be svg")
    return tree, gate


__all__ = ["DEEPEST", "MOST_ELEMENTS", "Gate", "local", "through_gate"]

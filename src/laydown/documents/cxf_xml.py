"""XML of a CxF file as a tree, read so that no file can do harm: no document type, no entities, no other file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import NoReturn
from xml.parsers import expat

from laydown.errors import InvalidInput

MOST_ELEMENTS = 200_000
DEEPEST = 40

NAMESPACE = "colorexchangeformat.com/CxF3-core"
"""Part of the namespace that every CxF/X of ISO 17972 has."""


@dataclass(slots=True, kw_only=True)
class Element:
    """One element: its name and attributes without namespaces, its text, and the line that it begins in."""

    name: str
    attributes: dict[str, str]
    line: int
    text: str = ""
    children: list[Element] = field(default_factory=list)

    def first(self, *path: str) -> Element | None:
        """First element down a path of names, None when there is none."""
        here: Element | None = self
        for name in path:
            here = next((child for child in here.children if child.name == name), None) if here else None
        return here

    def all(self, name: str) -> Iterator[Element]:
        """Children of a name."""
        return (child for child in self.children if child.name == name)

    def said(self, *path: str) -> str:
        """Text of the first element down a path, empty when there is none."""
        found = self.first(*path)
        return found.text.strip() if found else ""


def is_xml(content: bytes) -> bool:
    """Whether some bytes begin as XML does, in any of its codings."""
    for mark in (b"\xef\xbb\xbf", b"\xff\xfe", b"\xfe\xff"):
        content = content.removeprefix(mark)
    head = content[:400].replace(b"\x00", b"").lstrip()
    return head.startswith(b"<")


def cxf_tree(content: bytes, *, where: str) -> Element:
    """Tree of a CxF file.

    Parameters
    ----------
    content : bytes
    where : str
        Name of the file.

    Raises
    ------
    InvalidInput
        When the bytes are no XML, declare a document type (and with it entities), hold more than `MOST_ELEMENTS`
        elements or nest them deeper than `DEEPEST`, or the first element is not ``CxF``.
    """
    builder = _Builder(where)
    try:
        builder.parser.Parse(content, True)  # noqa: FBT003 - expat's own signature
    except expat.ExpatError as error:
        raise InvalidInput(
            f"this is not XML that can be read: {expat.ErrorString(error.code)}", where=f"{where}, line {error.lineno}"
        ) from None
    except (LookupError, ValueError) as error:
        raise InvalidInput(f"this is not XML that can be read: {error}", where=where) from None
    root = builder.root
    if root is None or root.name != "CxF":
        raise InvalidInput(
            f"this XML is not CxF: its first element is <{root.name if root else ''}>, and <CxF> is needed", where=where
        )
    return root


class _Builder:
    """Handlers of expat that build the tree; every one stops at the first thing that a CxF file does not need."""

    def __init__(self, where: str) -> None:
        self.where = where
        self.root: Element | None = None
        self.open: list[Element] = []
        self.count = 0
        self.parser = expat.ParserCreate(namespace_separator=" ")
        self.parser.buffer_text = True
        self.parser.StartElementHandler = self.start
        self.parser.EndElementHandler = self.end
        self.parser.CharacterDataHandler = self.data
        self.parser.StartDoctypeDeclHandler = self.doctype
        self.parser.EntityDeclHandler = self.doctype
        self.parser.ExternalEntityRefHandler = self.doctype

    def refuse(self, what: str) -> NoReturn:
        raise InvalidInput(what, where=f"{self.where}, line {self.parser.CurrentLineNumber}")

    def doctype(self, *_: object) -> NoReturn:
        self.refuse("a CxF file declares no document type and no entities; this one does, so it is not read")

    def start(self, name: str, attributes: dict[str, str]) -> None:
        self.count += 1
        if self.count > MOST_ELEMENTS:
            self.refuse(f"the file holds more than {MOST_ELEMENTS:,} elements, the most that is read")
        if len(self.open) >= DEEPEST:
            self.refuse(f"elements are nested deeper than {DEEPEST}, the most that is read")
        one = Element(
            name=_local(name),
            attributes={_local(key): value for key, value in attributes.items()},
            line=self.parser.CurrentLineNumber,
        )
        if self.open:
            self.open[-1].children.append(one)
        else:
            self.root = one
        self.open.append(one)

    def end(self, _: str) -> None:
        self.open.pop()

    def data(self, text: str) -> None:
        # Text between elements is layout; only what stands before the first child belongs to a value.
        if self.open and not self.open[-1].children:
            self.open[-1].text += text


def _local(name: str) -> str:
    return name.rpartition(" ")[2]

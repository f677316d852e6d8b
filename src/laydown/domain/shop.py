"""A shop: everything on its shelves, in one record that every service takes first."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Protocol, TypeVar

from laydown.domain.costs import Climate, Costs, Practice
from laydown.domain.dryer import Dryer
from laydown.domain.finding import ClothFinding
from laydown.domain.garment import Garment
from laydown.domain.ink import Ink, InkKind
from laydown.domain.press import Press
from laydown.domain.protocol import Protocol as Test
from laydown.domain.rule import Rule
from laydown.domain.screen import Screen
from laydown.errors import InvalidInput, NotFound


class Named(Protocol):
    """Anything with a name."""

    @property
    def name(self) -> str:
        """What it is called on its shelf."""
        ...


T = TypeVar("T", bound=Named)


@dataclass(frozen=True, slots=True, kw_only=True)
class Preferences:
    """How people of the shop like to read numbers, and where their tablets find the app.

    Attributes
    ----------
    address : str
        Address that tablets open, such as ``http://192.168.1.20:8300``; empty: as the browser that asks reached it.
    """

    temperature: str = "C"
    mesh: str = "cm"
    length: str = "mm"
    areal_mass: str = "gsm"
    paper: str = "a4"
    condition: str = "D65/10"
    address: str = ""

    def __post_init__(self) -> None:
        for name, allowed in PREFERENCES:
            value = getattr(self, name)
            if value not in allowed:
                raise InvalidInput(f"{name} is {value!r}; allowed are {', '.join(allowed)}")
        if self.address and not is_address(self.address):
            raise InvalidInput(f"address is {self.address[:80]!r}; {ADDRESSES}")


ADDRESSES = "allowed is one such as http://192.168.1.20:8300, without a path, of up to 120 characters"
"""What `is_address` allows."""


def is_address(text: str) -> bool:
    """Whether a text is an address that tablets can open; the code on a ticket holds it with the order's number."""
    return len(text) <= 120 and _ADDRESS.fullmatch(text) is not None


_ADDRESS = re.compile(r"https?://(?:[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?|\[[0-9a-fA-F:]+\])(?::\d{1,5})?")


PREFERENCES = (
    ("temperature", ("C", "F")),
    ("mesh", ("cm", "inch")),
    ("length", ("mm", "inch")),
    ("areal_mass", ("gsm", "oz")),
    ("paper", ("a4", "letter")),
    ("condition", ("D65/10", "D50/2")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shop:
    """The shelves. Names are unique within a shelf; an empty shelf is allowed until something needs it.

    Attributes
    ----------
    protocols : tuple of Protocol
        The shop's own tests, beside those that come with the package.
    findings : tuple of ClothFinding
        What the shop's own tests say of its cloths.
    """

    name: str
    garments: tuple[Garment, ...] = ()
    inks: tuple[Ink, ...] = ()
    screens: tuple[Screen, ...] = ()
    presses: tuple[Press, ...] = ()
    dryers: tuple[Dryer, ...] = ()
    rules: tuple[Rule, ...] = ()
    protocols: tuple[Test, ...] = ()
    findings: tuple[ClothFinding, ...] = ()
    costs: Costs
    climate: Climate
    practice: Practice = field(default_factory=Practice)
    preferences: Preferences = field(default_factory=Preferences)

    def __post_init__(self) -> None:
        for kind, shelf in self.shelves():
            seen: set[str] = set()
            for record in shelf:
                if record.name in seen:
                    raise InvalidInput(f"two {kind} share the name {record.name!r}; names must differ")
                seen.add(record.name)

    def shelves(self) -> tuple[tuple[str, tuple[Named, ...]], ...]:
        """Shelves with their names, in reading order."""
        return (
            ("garments", self.garments),
            ("inks", self.inks),
            ("screens", self.screens),
            ("presses", self.presses),
            ("dryers", self.dryers),
            ("rules", self.rules),
            ("protocols", self.protocols),
        )

    def garment(self, name: str) -> Garment:
        """Garment of that name, or NotFound."""
        return _find("garment", name, self.garments)

    def ink(self, name: str) -> Ink:
        """Ink of that name, or NotFound."""
        return _find("ink", name, self.inks)

    def screen(self, name: str) -> Screen:
        """Screen of that name, or NotFound."""
        return _find("screen", name, self.screens)

    def press(self, name: str) -> Press:
        """Press of that name, or NotFound."""
        return _find("press", name, self.presses)

    def dryer(self, name: str) -> Dryer:
        """Dryer of that name, or NotFound."""
        return _find("dryer", name, self.dryers)

    def inks_of(self, kind: InkKind) -> tuple[Ink, ...]:
        """Inks of one kind, in shelf order."""
        return tuple(ink for ink in self.inks if ink.kind is kind)


def _find(kind: str, name: str, shelf: Iterable[T]) -> T:
    records = tuple(shelf)
    for record in records:
        if record.name == name:
            return record
    raise NotFound(kind, name, (r.name for r in records))

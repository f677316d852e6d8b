"""A small invented shop whose numbers are plausible and few, for the tests of models and planning."""

from __future__ import annotations

import datetime as dt
from functools import cache
from typing import Any

from laydown.domain.colour import Colour
from laydown.domain.costs import Climate, Costs, Practice
from laydown.domain.dryer import Dryer, Zone
from laydown.domain.fibre import FibreContent
from laydown.domain.garment import Dye, Garment, History, Structure
from laydown.domain.ink import Blocker, Bond, Cure, Ink, InkKind, InkOptics, Viscosity
from laydown.domain.order import Care, InkUse, Order, Print, Requirements
from laydown.domain.press import Flash, Press
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.screen import Mesh, Screen
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Role, Stack
from laydown.models.cloth import Cloth, describe_cloth
from laydown.units import from_celsius, from_gsm, from_micron

NO_PRACTICE = Practice()


def q(value: float, low: float | None = None, high: float | None = None, grade: Grade = Grade.ASSUMED) -> Quantity:
    """A quantity; without bounds it has no spread."""
    return Quantity(
        value=value, low=value if low is None else low, high=value if high is None else high, grade=grade, source="test"
    )


def celsius(value: float, pm: float = 0.0) -> Quantity:
    return q(from_celsius(value), from_celsius(value - pm), from_celsius(value + pm))


# --- screens -------------------------------------------------------------------------------------------------------

# Count per cm, thread, opening, fabric [µm], volume [cm³/m²] of the shipped table of meshes.
MESHES = {
    "24/145": (24, 145, 265, 255, 103),
    "34/100": (34, 100, 187, 166, 67),
    "43/80": (43, 80, 149, 135, 55),
    "61/64": (61, 64, 90, 103, 31),
    "77/55": (77, 55, 67, 88, 23.5),
    "120/34": (120, 34, 45, 55, 16),
}


def mesh(of: str = "43/80", /, **changes: Any) -> Mesh:
    count, thread, opening, fabric, volume = MESHES[of]
    fields: dict[str, Any] = {
        "name": of,
        "count": count * 100.0,
        "thread": from_micron(thread),
        "opening": q(from_micron(opening)),
        "fabric_thickness": q(from_micron(fabric)),
        "theoretical_volume": q(volume * 1e-6),
    }
    return Mesh(**(fields | changes))


def screen(of: str = "43/80", /, **changes: Any) -> Screen:
    fields: dict[str, Any] = {"name": f"{of} block", "mesh": mesh(of), "count": 8}
    return Screen(**(fields | changes))


def closed_screen(**changes: Any) -> Screen:
    return Screen(**({"name": "smoothing", "mesh": None, "count": 2} | changes))


# --- inks ----------------------------------------------------------------------------------------------------------


def ink(name: str, kind: InkKind, srgb: str, ratio: float = 0.75, **changes: Any) -> Ink:
    stirred = kind in {InkKind.STRETCH_ADDITIVE, InkKind.REDUCER}
    fields: dict[str, Any] = {
        "name": name,
        "kind": kind,
        "cure": Cure(temperature=celsius(160), hold=q(3.0)),
        "gel_temperature": None if stirred else celsius(112),
        "optics": None if stirred else InkOptics(colour=Colour(srgb=srgb), contrast_ratio=q(ratio)),
        "capacity": q(0.0),
        "elongation": q(0.7),
        "density": q(1400.0),
        "solids": q(0.98),
        "price": 12.0,
        "share_limit": 0.3 if stirred else 0.0,
    }
    return Ink(**(fields | changes))


def white(name: str = "Plain White", ratio: float = 0.76, **changes: Any) -> Ink:
    return ink(name, InkKind.WHITE, "#f7f7f4", ratio, **changes)


def blocking_white(name: str = "Blocking White", capacity: float = 0.04, **changes: Any) -> Ink:
    given: dict[str, Any] = {
        "capacity": q(capacity),
        "blocker": Blocker.REACTIVE,
        "reducible": False,
        "price": 14.0,
        "ratio": 0.75,
    }
    return white(name, **(given | changes))


def poly_white(name: str = "Polyester White", **changes: Any) -> Ink:
    given: dict[str, Any] = {
        "capacity": 0.125,
        "price": 25.0,
        "toughness": 4,
        "viscosity": Viscosity.THICK,
        "hand_factor": 1.3,
    }
    return blocking_white(name, **(given | changes))


def barrier(name: str = "Dark Barrier", **changes: Any) -> Ink:
    given: dict[str, Any] = {"capacity": q(0.85), "blocker": Blocker.CARBON, "toughness": 4}
    return ink(name, InkKind.BARRIER, "#4a4d50", 0.93, **(given | changes))


def colour(name: str = "Plain Red", srgb: str = "#c1121f", ratio: float = 0.66, **changes: Any) -> Ink:
    return ink(name, InkKind.COLOUR, srgb, ratio, **changes)


def nylon_white(**changes: Any) -> Ink:
    given: dict[str, Any] = {"bonds": frozenset({Bond.NYLON, Bond.POLYESTER, Bond.COATED}), "toughness": 5}
    return white("Nylon White", **(given | changes))


def additive(**changes: Any) -> Ink:
    return ink("Stretch Additive", InkKind.STRETCH_ADDITIVE, "", elongation=q(3.0), **changes)


def reducer(**changes: Any) -> Ink:
    return ink("Reducer", InkKind.REDUCER, "", hand_factor=0.5, **changes)


# --- stacks --------------------------------------------------------------------------------------------------------


def printed(
    used: Ink | None = None,
    through: str = "43/80",
    role: Role = Role.WHITE,
    *,
    flash: bool = False,
    coverage: float = 0.4,
    **changes: Any,
) -> Pass:
    """Build a pass of an ink (a white when left out) through a mesh."""
    return Pass(ink=used or white(), screen=screen(through), role=role, flash_after=flash, coverage=coverage, **changes)


def smoothing(coverage: float = 0.4) -> Pass:
    return Pass(role=Role.SMOOTHING, ink=None, screen=closed_screen(), coverage=coverage)


def stack(*passes: Pass) -> Stack:
    return Stack(passes=passes or (printed(),))


def flashed_twice(used: Ink | None = None, through: str = "43/80") -> Stack:
    """Build white, flash, the same white again."""
    return stack(printed(used, through, Role.UNDERBASE, flash=True), printed(used, through))


# --- cloth ---------------------------------------------------------------------------------------------------------


def garment(shares: dict[str, float] | None = None, **changes: Any) -> Garment:
    fields: dict[str, Any] = {
        "name": "tee",
        "content": FibreContent(shares=tuple((shares or {"cotton": 1.0}).items())),
        "structure": Structure.JERSEY,
        "areal_mass": q(0.18),
        "colour": Colour(srgb="#1d1e22"),
        "dye": Dye.REACTIVE,
        "history": History.TESTED,
        "price": 3.0,
    }
    return Garment(**(fields | changes))


def polyester(srgb: str = "#c01725", dye: Dye = Dye.DISPERSE_MEDIUM, **changes: Any) -> Garment:
    return garment({"polyester": 1.0}, **({"colour": Colour(srgb=srgb), "dye": dye} | changes))


def blend(cotton: float = 0.5, **changes: Any) -> Garment:
    given: dict[str, Any] = {"dye": Dye.DISPERSE_MEDIUM, "colour": Colour(srgb="#8c1d2f")}
    return garment({"cotton": cotton, "polyester": round(1 - cotton, 9)}, **(given | changes))


def tri_blend(**changes: Any) -> Garment:
    given: dict[str, Any] = {"dye": Dye.DISPERSE_HIGH, "colour": Colour(srgb="#8d9094")}
    return garment({"polyester": 0.5, "cotton": 0.25, "viscose": 0.25}, **(given | changes))


@cache
def cloth(of: Garment | None = None) -> Cloth:
    return describe_cloth(of or garment())


def with_mass(gsm: float, low: float | None = None, high: float | None = None) -> Quantity:
    return q(from_gsm(gsm), None if low is None else from_gsm(low), None if high is None else from_gsm(high))


# --- press, dryer, shop --------------------------------------------------------------------------------------------


def flash_unit(name: str = "panel", exchange: float = 0.45, **changes: Any) -> Flash:
    fields: dict[str, Any] = {
        "name": name,
        "radiant_temperature": celsius(450),
        "exchange": q(exchange, 0.95 * exchange, 1.05 * exchange),
        "air_temperature": celsius(70),
        "air_coefficient": q(8.0),
    }
    return Flash(**(fields | changes))


def press(**changes: Any) -> Press:
    fields: dict[str, Any] = {
        "name": "Carousel",
        "automatic": True,
        "heads": 8,
        "pallets": 10,
        "flashes": (flash_unit(),),
        "flash_heads": (2, 3, 4, 5),
        "index_time": 2.0,
        "stroke_speed": 0.5,
        "load_time": 5.0,
        "print_width": 0.40,
        "print_height": 0.46,
        "set_up_per_screen": 540.0,
        "crew": 2,
        "pallet_temperature": celsius(50),
    }
    return Press(**(fields | changes))


def zone(length: float = 2.0, **changes: Any) -> Zone:
    fields: dict[str, Any] = {
        "length": length,
        "panel_temperature": celsius(360, 8),
        "exchange": q(0.22, 0.215, 0.225),
        "air_temperature": celsius(140),
        "air_follow": 0.3,
        "air_coefficient": q(14.0, 13.5, 14.5),
        "belt_coefficient": q(7.0, 6.75, 7.25),
    }
    return Zone(**(fields | changes))


def dryer(**changes: Any) -> Dryer:
    fields: dict[str, Any] = {
        "name": "Tunnel",
        "zones": (zone(), zone()),
        "setting": from_celsius(360),
        "setting_low": from_celsius(240),
        "setting_high": from_celsius(480),
        "belt_width": 1.2,
        "speed_low": 0.02,
        "speed_high": 0.15,
        "catch_time": 10.0,
        "setting_error": q(0.0, -4.0, 4.0),
    }
    return Dryer(**(fields | changes))


CLIMATE = Climate(temperature=celsius(23), humidity=q(0.5), storage_temperature=celsius(25, 3))


def costs(**changes: Any) -> Costs:
    fields: dict[str, Any] = {
        "labour_rate": 18.0,
        "press_rate": 40.0,
        "dryer_rate": 9.0,
        "screen_cost": 7.0,
        "screen_time": 1200.0,
        "ink_waste": 0.08,
        "spoilage": 0.03,
        "reprint_factor": 2.0,
        "margin": 0.3,
        "swatch_cost": 6.0,
        "ink_keeping": 120.0,
        "wash_up_cost": 9.0,
    }
    return Costs(**(fields | changes))


def shop(**changes: Any) -> Shop:
    """Build a shop with one white, two screens, one press and one dryer, and no rules."""
    fields: dict[str, Any] = {
        "name": "Small shop",
        "inks": (white(),),
        "screens": (screen("43/80"), screen("120/34")),
        "presses": (press(),),
        "dryers": (dryer(),),
        "costs": costs(),
        "climate": CLIMATE,
        "practice": Practice(transfer=q(0.75, 0.72, 0.78, Grade.MEASURED)),
    }
    return Shop(**(fields | changes))


def a_print(*inks: tuple[str, float], **changes: Any) -> Print:
    fields: dict[str, Any] = {
        "place": "front",
        "width": 0.28,
        "height": 0.32,
        "inks": tuple(InkUse(ink=name, coverage=share) for name, share in inks or (("white", 0.4),)),
    }
    return Print(**(fields | changes))


def order(of: Garment | None = None, **changes: Any) -> Order:
    fields: dict[str, Any] = {
        "name": "Small order",
        "quantity": 100,
        "due": dt.date(2026, 12, 10),
        "placed": dt.date(2026, 11, 2),
        "garment": of or garment(),
        "prints": (a_print(),),
        "requirements": Requirements(),
        "care": Care(),
    }
    return Order(**(fields | changes))

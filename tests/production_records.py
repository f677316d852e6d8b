"""Small records that the tests of production and of placing build stacks and presses from."""

from __future__ import annotations

import datetime as dt
from typing import Any

from laydown.domain.colour import Colour
from laydown.domain.costs import Costs
from laydown.domain.dryer import Dryer, Zone
from laydown.domain.fibre import FibreContent
from laydown.domain.garment import Garment, Structure
from laydown.domain.ink import Cure, Ink, InkKind, InkOptics
from laydown.domain.order import InkUse, Order, Print
from laydown.domain.plan import Production
from laydown.domain.press import Flash, Press
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.screen import Mesh, Screen
from laydown.domain.stack import Pass, Role, Stack
from laydown.production.placement import Placed, Placement
from laydown.production.summary import produce


def exactly(value: float) -> Quantity:
    """Build a quantity without spread."""
    return Quantity.exact(value, Grade.ASSUMED, "test")


def ink(name: str = "white", kind: InkKind = InkKind.WHITE, **changes: Any) -> Ink:
    """Build an ink; additives and reducers get a share limit and no optics."""
    stirred = kind in {InkKind.STRETCH_ADDITIVE, InkKind.REDUCER}
    fields: dict[str, Any] = {
        "cure": Cure(temperature=exactly(433.0), hold=exactly(0.0)),
        "gel_temperature": exactly(378.0),
        "optics": None if stirred else InkOptics(colour=Colour(srgb="#ffffff"), contrast_ratio=exactly(0.8)),
        "capacity": exactly(0.0),
        "elongation": exactly(1.0),
        "density": exactly(1300.0),
        "solids": exactly(1.0),
        "price": 20.0,
        "share_limit": 0.3 if stirred else 0.0,
    }
    return Ink(name=name, kind=kind, **(fields | changes))


def screen(name: str = "43/80", count: int = 10, **changes: Any) -> Screen:
    """Build a screen of a mesh of that name."""
    mesh = Mesh(
        name=name,
        count=4300.0,
        thread=80e-6,
        opening=exactly(149e-6),
        fabric_thickness=exactly(130e-6),
        theoretical_volume=exactly(53e-6),
    )
    return Screen(name=name, mesh=mesh, count=count, **changes)


def smoothing_pass(**changes: Any) -> Pass:
    """Build a pass through a closed screen."""
    return Pass(role=Role.SMOOTHING, ink=None, screen=Screen(name="smooth", mesh=None), **changes)


def white_pass(role: Role = Role.WHITE, **changes: Any) -> Pass:
    """Build a pass with a white."""
    return Pass(**({"role": role, "ink": ink(), "screen": screen()} | changes))


def colour_pass(name: str, **changes: Any) -> Pass:
    """Build a pass with a colour."""
    given = {"role": Role.COLOUR, "ink": ink(name, InkKind.COLOUR), "screen": screen("120/34"), "coverage": 0.3}
    return Pass(**(given | changes))


def stack(*passes: Pass) -> Stack:
    """Build a stack of these passes."""
    return Stack(passes=passes)


def press(**changes: Any) -> Press:
    """Build an automatic press with 8 heads and two flash units."""
    unit = Flash(
        name="flash",
        radiant_temperature=exactly(750.0),
        exchange=exactly(0.4),
        air_temperature=exactly(320.0),
        air_coefficient=exactly(10.0),
    )
    fields: dict[str, Any] = {
        "name": "carousel",
        "automatic": True,
        "heads": 8,
        "pallets": 10,
        "flashes": (unit,) * changes.pop("units", 2),
        "flash_heads": (2, 3, 5, 6),
        "index_time": 1.5,
        "stroke_speed": 0.5,
        "load_time": 4.0,
        "print_width": 0.38,
        "print_height": 0.45,
        "set_up_per_screen": 540.0,
        "crew": 2,
    }
    return Press(**(fields | changes))


def manual_press(**changes: Any) -> Press:
    """Build a manual press with four screens and one flash."""
    return press(
        **(
            {
                "name": "bench",
                "automatic": False,
                "heads": 4,
                "pallets": 4,
                "units": 1,
                "flash_heads": (),
                "index_time": 2.0,
                "load_time": 10.0,
                "crew": 1,
            }
            | changes
        )
    )


def dryer(**changes: Any) -> Dryer:
    """Build a conveyor dryer with one zone of six feet."""
    zone = Zone(
        length=changes.pop("length", 1.8288),
        panel_temperature=exactly(720.0),
        exchange=exactly(0.3),
        air_temperature=exactly(430.0),
        air_follow=0.3,
        air_coefficient=exactly(20.0),
        belt_coefficient=exactly(10.0),
    )
    fields: dict[str, Any] = {
        "name": "tunnel",
        "zones": (zone,),
        "setting": 720.0,
        "setting_low": 600.0,
        "setting_high": 900.0,
        "belt_width": 0.9,
        "speed_low": 0.005,
        "speed_high": 0.1,
    }
    return Dryer(**(fields | changes))


def garment(**changes: Any) -> Garment:
    """Build a jersey shirt."""
    fields: dict[str, Any] = {
        "name": "shirt",
        "content": FibreContent(shares=(("cotton", 1.0),)),
        "structure": Structure.JERSEY,
        "areal_mass": exactly(0.18),
        "colour": Colour(srgb="#000000"),
        "price": 4.0,
        "size": 0.75,
        "width": 0.6,
    }
    return Garment(**(fields | changes))


def costs(**changes: Any) -> Costs:
    """Set a shop's rates; everything that is not named is free."""
    names = (
        "labour_rate press_rate dryer_rate screen_cost screen_time ink_waste spoilage reprint_factor margin "
        "swatch_cost ink_keeping wash_up_cost"
    )
    return Costs(**(dict.fromkeys(names.split(), 0.0) | changes))


FRONT = Print(place="front", width=0.30, height=0.35, inks=(InkUse(ink="white", coverage=1.0),))
WHITE_AND_RED = stack(white_pass(Role.UNDERBASE, flash_after=True), colour_pass("red"))
WHITE_AND_RED_PLACED = Placement(
    press="carousel",
    passes=(Placed(head=1, revolution=1, flash_head=2, flash_revolution=1), Placed(head=3, revolution=1)),
    revolutions=1,
    screens=2,
    burned=2,
    flash_units=1,
)


def order(quantity: int = 100) -> Order:
    """Build an order of shirts with one front print."""
    return Order(name="tees", quantity=quantity, due=dt.date(2026, 12, 10), garment=garment(), prints=(FRONT,))


def produced(rates: Costs, *, order_: Order | None = None, **changes: Any) -> Production:
    """Produce white and red on the front of an order."""
    given: dict[str, Any] = {
        "press": press(),
        "dryer": dryer(),
        "placement": WHITE_AND_RED_PLACED,
        "flash_seconds": (5.0,),
        "belt_speed": 0.03,
        "wet": (60e-6, 20e-6),
        "costs": rates,
    }
    return produce(order_ or order(), FRONT, WHITE_AND_RED, **(given | changes))

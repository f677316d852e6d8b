"""An invented shop's inks, screens and garments for the tests of the report: plausible values, no real maker's."""

from __future__ import annotations

from laydown.domain.colour import Colour
from laydown.domain.fibre import FibreContent
from laydown.domain.garment import Dye, Garment, Structure
from laydown.domain.ink import Blocker, Cure, Ink, InkKind, InkOptics
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.screen import Mesh, Screen, ScreenState


def assumed(value: float, low: float | None = None, high: float | None = None) -> Quantity:
    return Quantity(
        value=value,
        low=value if low is None else low,
        high=value if high is None else high,
        grade=Grade.ASSUMED,
        source="invented for the tests",
    )


def ink(
    name: str, kind: InkKind, srgb: str, *, ratio: float = 0.5, capacity: float = 0.0, density: float = 1250
) -> Ink:
    stirred_in = kind in {InkKind.STRETCH_ADDITIVE, InkKind.REDUCER}
    return Ink(
        name=name,
        kind=kind,
        cure=Cure(temperature=assumed(433.15, 428, 438), hold=assumed(5.0)),
        gel_temperature=assumed(385.0, 380, 390),
        optics=None if stirred_in else InkOptics(colour=Colour(srgb=srgb), contrast_ratio=assumed(ratio)),
        blocker=Blocker.REACTIVE if capacity else Blocker.NONE,
        capacity=assumed(capacity),
        elongation=assumed(0.9),
        density=assumed(density),
        solids=assumed(0.97),
        price=14.5,
        share_limit=0.3 if stirred_in else 0.0,
    )


BARRIER = ink("Graphite barrier base", InkKind.BARRIER, "#4a4a4c", ratio=0.9, capacity=0.8)
LOW_BLEED = ink("General low-bleed white", InkKind.WHITE, "#f4f4ef", ratio=0.75, capacity=0.03, density=1420)
POLY_WHITE = ink("Polyester white", InkKind.WHITE, "#f2f3f0", ratio=0.78, capacity=0.12, density=1450)
YELLOW = ink("Buoy yellow", InkKind.COLOUR, "#f2b705")
RED = ink("Signal red", InkKind.COLOUR, "#b8141f")
BLUE = ink("Deep harbour blue", InkKind.COLOUR, "#12305e")
STRETCH = ink("Stretch additive", InkKind.STRETCH_ADDITIVE, "#ffffff")


def mesh(count_cm: float, thread_um: float) -> Mesh:
    opening = 1e-2 / count_cm - thread_um * 1e-6
    thickness = 1.65 * thread_um * 1e-6
    pitch = 1e-2 / count_cm
    return Mesh(
        name=f"{count_cm:g}/{thread_um:g}",
        count=count_cm * 100,
        thread=thread_um * 1e-6,
        opening=assumed(opening),
        fabric_thickness=assumed(thickness),
        theoretical_volume=assumed((opening / pitch) ** 2 * thickness),
    )


def screen(name: str, count_cm: float, thread_um: float, **changes: object) -> Screen:
    values: dict[str, object] = {"emulsion_over_mesh": 23e-6, "tension": 2800.0, "count": 4} | changes
    return Screen(name=name, mesh=mesh(count_cm, thread_um), **values)  # type: ignore[arg-type]


COARSE = screen("Frame A 43/80", 43, 80)
MIDDLE = screen("Frame B 77/48", 77, 48, emulsion_over_mesh=15e-6, count=6, state=ScreenState.COATED)
FINE = screen("Frame C 90/48", 90, 48, emulsion_over_mesh=14e-6, count=2, state=ScreenState.RECLAIM)
SMOOTH = Screen(name="Smoothing screen", mesh=None, tension=3000.0)

MAROON_TEE = Garment(
    name="Crew tee, maroon",
    content=FibreContent(shares=(("cotton", 0.5), ("polyester", 0.5))),
    structure=Structure.JERSEY,
    areal_mass=assumed(0.180, 0.170, 0.190),
    colour=Colour(srgb="#8c1d2f"),
    dye=Dye.DISPERSE_MEDIUM,
    price=3.1,
)

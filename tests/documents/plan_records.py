"""A plan with every field filled by a value of its own, and the same plan with one field changed."""

from __future__ import annotations

import dataclasses
import datetime as dt
import types
import typing
from collections.abc import Callable, Iterator
from enum import Enum
from typing import Any

from laydown.domain.art import Art, ArtRequest, PlateMeasure
from laydown.domain.colour import Colour
from laydown.domain.fibre import FibreContent
from laydown.domain.finding import Level
from laydown.domain.garment import Garment, Structure
from laydown.domain.ink import Cure, Ink, InkKind, InkOptics
from laydown.domain.order import Care, InkUse, Order, Print, Requirements, ThermalEvent
from laydown.domain.plan import Plan
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.screen import Mesh, Screen
from laydown.domain.stack import Pass, Role, Stack

NAMED = (Ink, Screen, Mesh)
"""Records that a plan's document calls by name; their own numbers stand on the shelf."""


def measured(value: float) -> Quantity:
    return Quantity(value=value, low=0.9 * value, high=1.1 * value, grade=Grade.MAKER, source="a sheet")


def ink(name: str, kind: InkKind = InkKind.WHITE) -> Ink:
    return Ink(
        name=name,
        kind=kind,
        cure=Cure(temperature=measured(433.0), hold=measured(3.0)),
        gel_temperature=measured(385.0),
        optics=InkOptics(colour=Colour(srgb="#f0f0f0"), contrast_ratio=measured(0.75)),
        capacity=Quantity.exact(0.0, Grade.MAKER, "a sheet"),
        elongation=measured(0.7),
        density=measured(1400.0),
        solids=measured(0.9),
        price=11.0,
        share_limit=0.3,
    )


def screen(name: str) -> Screen:
    mesh = Mesh(
        name=f"mesh of {name}",
        count=4300.0,
        thread=80e-6,
        opening=measured(149e-6),
        fabric_thickness=measured(135e-6),
        theoretical_volume=measured(55e-6),
    )
    return Screen(name=name, mesh=mesh)


def stack() -> Stack:
    return Stack(
        passes=(
            Pass(
                role=Role.UNDERBASE,
                ink=ink("white"),
                screen=screen("coarse"),
                hits=2,
                flash_after=True,
                coverage=0.41,
                additive=ink("additive", InkKind.STRETCH_ADDITIVE),
                additive_share=0.2,
                shows=0.31,
                on_cloth=True,
                edge_length=90.0,
            ),
            Pass(role=Role.SMOOTHING, ink=None, screen=Screen(name="closed", mesh=None), edge_length=1.0),
        )
    )


def order() -> Order:
    return Order(
        name="an order",
        quantity=12,
        due=dt.date(2026, 12, 10),
        placed=dt.date(2026, 11, 10),
        identifier="A-1",
        times_a_year=3.0,
        garment=Garment(
            name="a tee",
            content=FibreContent(shares=(("cotton", 0.6), ("polyester", 0.4))),
            structure=Structure.JERSEY,
            areal_mass=measured(0.18),
            colour=Colour(srgb="#8c1d2f"),
            stretch=measured(0.25),
            price=3.5,
            lot="lot 7",
            note="a note",
        ),
        prints=(
            Print(
                place="front",
                width=0.3,
                height=0.35,
                inks=(InkUse(ink="white", coverage=0.4), InkUse(ink="#aa0000", coverage=0.1)),
                artwork="art.png",
                finest_detail=0.5e-3,
                ruling=1800.0,
                art=Art(
                    request=ArtRequest(
                        width=0.3,
                        height=0.35,
                        inks=("white", "#aa0000"),
                        at_most=3,
                        page=2,
                        finest_detail=0.5e-3,
                        ruling=1800.0,
                    ),
                    plates=(
                        PlateMeasure(
                            plate="white",
                            ink="white",
                            coverage=0.4,
                            solid=0.3,
                            toned=0.2,
                            edge_length=1.5,
                            finest_line=0.6e-3,
                            finest_gap=0.7e-3,
                            area=0.04,
                        ),
                    ),
                    inked=0.45,
                    underbase=0.42,
                    on_cloth=("#aa0000",),
                    notes=("a note of the art",),
                    warnings=("a warning of the art",),
                ),
            ),
        ),
        requirements=Requirements(bleed_grade=3.5),
        care=Care(
            pile_height=0.4,
            transit=ThermalEvent(name="transit", temperature=323.0, duration=3600.0, times=2),
            tumble_dry=ThermalEvent(name="tumble-drying", temperature=338.0, duration=2700.0, times=5),
        ),
    )


ALLOWED = {"bleed_grade": 3.0, "requirements.hand": "soft"}
"""Changes of fields that take certain values only."""


def full_plan() -> Plan:
    """Build a plan whose every text and number is different from the others."""
    plan: Plan = _fill(Plan, {"count": 0})
    return plan


def _fill(kind: Any, state: dict[str, int]) -> Any:  # noqa: PLR0911 - one return a kind of field
    if kind is Order:
        return order()
    if kind is Stack:
        return stack()
    state["count"] += 1
    count = state["count"]
    if kind is Quantity:
        return measured(1.0 + count / 1000)
    if dataclasses.is_dataclass(kind):
        hints = typing.get_type_hints(kind)
        return kind(**{field.name: _fill(hints[field.name], state) for field in dataclasses.fields(kind)})
    origin, arguments = typing.get_origin(kind), typing.get_args(kind)
    if origin is tuple:
        if arguments[-1] is Ellipsis:
            return tuple(_fill(arguments[0], state) for _ in range(2))
        return tuple(_fill(argument, state) for argument in arguments)
    if origin in {types.UnionType, typing.Union}:
        return _fill(arguments[0], state)
    simple: dict[Any, Any] = {
        bool: count % 2 == 0,
        int: count,
        # Below one, as many of the numbers are probabilities.
        float: count / 2000,
        str: f"text {count}",
        dt.date: dt.date(2026, 1, 1) + dt.timedelta(days=count),
        dt.datetime: dt.datetime(2026, 1, 1, tzinfo=dt.UTC) + dt.timedelta(days=count),
        Level: Level.CLOTH,
    }
    return simple[kind]


def changed_plans(plan: Plan) -> Iterator[tuple[str, Plan]]:
    """Yield the plan with one leaf changed, for every leaf, with the leaf's path."""
    yield from _changed(plan, lambda new: new, "plan")


def _changed(value: Any, rebuild: Callable[[Any], Any], path: str) -> Iterator[tuple[str, Any]]:
    if isinstance(value, NAMED):
        yield f"{path}.name", rebuild(dataclasses.replace(value, name=f"{value.name} x"))
    elif isinstance(value, FibreContent):
        yield path, rebuild(FibreContent(shares=(("cotton", 0.5), ("polyester", 0.5))))
        yield path, rebuild(FibreContent(shares=(("cotton", 0.6), ("nylon", 0.4))))
    elif isinstance(value, Colour):
        yield f"{path}.srgb", rebuild(Colour(srgb="#8c1d30"))
        yield f"{path}.lab", rebuild(Colour(lab=(30.0, 40.0, 10.0)))
        yield f"{path}.lab_condition", rebuild(Colour(lab=(30.0, 40.0, 10.0), lab_condition="D50/2"))
        yield f"{path}.spectrum", rebuild(Colour(spectrum=(0.1,) * 36))
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for field in dataclasses.fields(value):

            def put(new: Any, name: str = field.name) -> Any:
                return rebuild(dataclasses.replace(value, **{name: new}))

            yield from _changed(getattr(value, field.name), put, f"{path}.{field.name}")
    elif isinstance(value, tuple):
        for index, item in enumerate(value):

            def put_item(new: Any, at: int = index) -> Any:
                return rebuild((*value[:at], new, *value[at + 1 :]))

            yield from _changed(item, put_item, f"{path}[{index}]")
    elif value is not None and not (value == 0.0 and path.endswith("additive_share")):
        special = [new for ending, new in ALLOWED.items() if path.endswith(ending)]
        yield path, rebuild(special[0] if special else _other(value))


def _other(value: Any) -> Any:
    if isinstance(value, bool):
        return not value
    if isinstance(value, Enum):
        return next(member for member in type(value) if member is not value)
    if isinstance(value, int):
        return value + 1
    if isinstance(value, float):
        return 0.97 * value
    if isinstance(value, str):
        return f"{value} x"
    assert isinstance(value, dt.date)
    return value + dt.timedelta(days=1)

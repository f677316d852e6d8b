"""The invented shop's cloths and whites on which the study runs, and the settings that a plan would give them."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import as_file, files

import numpy as np
from tools.lab.virtual_cloths.prints import Setup

from laydown.documents.shop_folder import read_shop
from laydown.domain.garment import Garment, History
from laydown.domain.press import Press
from laydown.domain.protocol import DueReading, Protocol, Reads, Step, Subject
from laydown.domain.quantity import Grade
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Role, Stack
from laydown.domain.swatch import PressRun, Swatch, SwatchState
from laydown.models.cloth import Cloth, describe_cloth
from laydown.models.film import build_film
from laydown.models.flash import LONGEST_FLASH
from laydown.models.sampling import sample_set
from laydown.planning.dryer_settings import NoSetting, SettingsFinder
from laydown.planning.flash_settings import FlashFinder, weakest_flash
from laydown.production.cost import expected_cost
from laydown.units import HOUR, MINUTE, from_celsius

CLOTHS = (
    "Spinnaker polyester tee red",
    "Regatta blend tee cardinal",
    "Trawl polyester mesh jersey royal",
    "Spinnaker polyester fleece maroon",
    "Regatta blend hoodie navy",
)
LOT = "V"
MADE = dt.datetime(2026, 3, 2, 8, 0, tzinfo=dt.UTC)
OVEN_BEGIN, OVEN_HOURS, OVEN_C = 1 * HOUR, 15, 52
READ_FRESH, READ_AFTER = 0.5 * HOUR, 17 * HOUR
SAMPLES = 128
QUANTITY = 144
INKED = 0.30 * 0.35 * 0.42
"""Inked area of the order's print [m2]."""

WARM, COOL = "warm half", "cool half"

OVEN_TEST = Protocol(
    name="oven-bleed-three",
    title="Oven bleed test, three readings",
    subject=Subject.BLEED,
    purpose="how much dye comes into the print within weeks",
    materials=("an oven that holds 52 °C",),
    steps=(
        Step(text="Print, flash and cure the swatch as planned."),
        Step(text="Cut it in two and keep one half cool.", part=COOL),
        Step(text="Hold the other half.", part=WARM, temperature=from_celsius(OVEN_C), duration=OVEN_HOURS * HOUR),
    ),
    readings=(
        DueReading(reads=Reads.COLOUR, after=READ_FRESH),
        DueReading(reads=Reads.COLOUR, after=READ_AFTER, part=WARM),
        DueReading(reads=Reads.COLOUR, after=READ_AFTER, part=COOL),
    ),
    limit=None,
    cautions=("Hot oven: gloves; never leave heat unattended.",),
    work=20 * MINUTE,
    source="for the study of virtual cloths",
    grade=Grade.ASSUMED,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class White:
    """A stack that could be printed."""

    name: str
    stack: Stack


@cache
def shop() -> Shop:
    """The shop that laydown ships, with the study's cloths never printed before."""
    with as_file(files("laydown.data") / "shop") as folder:
        found = read_shop(folder)
    return replace(found, garments=tuple(garment_of(one) for one in found.garments))


def garment_of(one: Garment) -> Garment:
    """A garment of a lot that the shop has never seen."""
    return replace(one, history=History.NEVER_PRINTED, lot=LOT)


@cache
def cloth(name: str) -> Cloth:
    """Cloth of a garment, before any test."""
    return describe_cloth(shop().garment(name), condition=shop().preferences.condition)


@cache
def whites() -> tuple[White, ...]:
    """Stacks that an order for a white print could get, the cheapest first."""

    def twice(ink: str) -> Stack:
        return Stack(passes=(_pass(ink, Role.UNDERBASE, flash=True), _pass(ink, Role.WHITE)))

    barrier = Stack(
        passes=(_pass("Peat Barrier Base", Role.BARRIER, flash=True), *twice("Tideline Low-Bleed White").passes)
    )
    return (
        White(name="cotton white", stack=twice("Chalk Cotton White")),
        White(name="low-bleed white", stack=twice("Tideline Low-Bleed White")),
        White(name="polyester white", stack=twice("Bulwark Polyester White")),
        White(name="barrier + low-bleed", stack=barrier),
    )


def _pass(ink: str, role: Role, *, flash: bool = False) -> Pass:
    return Pass(ink=shop().ink(ink), screen=shop().screen("43-80 block"), role=role, flash_after=flash, coverage=0.42)


@cache
def setup(name: str, white: int) -> Setup:
    """Dryer settings that a plan gives a stack on a cloth."""
    samples = sample_set(SAMPLES)
    stack = whites()[white].stack
    film = float(np.median(build_film(stack, cloth(name), samples, practice=shop().practice).total()))
    finder = SettingsFinder(cloth(name), shop().climate, samples, risk=0.05)
    found = finder.find(shop().dryers[0], film, stack.inks, shop().garment(name).width)
    if isinstance(found, NoSetting):
        raise LookupError(f"{whites()[white].name} on {name}: {found.reason}")  # noqa: TRY004 - no setting, no wrong type
    return Setup(
        dryer=found.dryer,
        setting=found.setting,
        speed=found.speed,
        flash=weakest_flash(press()),
        flash_seconds=flash_seconds(name, white),
    )


def press() -> Press:
    """The press with flash units that swatches and orders are printed on."""
    return next(one for one in shop().presses if one.flashes)


def flash_seconds(name: str, white: int) -> float:
    """Seconds that each flash is set to, as the film that needs most asks for; 0 without a flash."""
    samples, stack = sample_set(SAMPLES), whites()[white].stack
    film = build_film(stack, cloth(name), samples, practice=shop().practice)
    finder = FlashFinder(cloth(name), shop().climate, samples, risk=0.05)
    needed = [0.0]
    for one in stack.inked:
        if one.flash_after and one.ink is not None and one.ink.gel_temperature is not None:
            found = finder.find(press(), float(np.median(film.before(one))), one.ink.gel_temperature)
            needed.append(LONGEST_FLASH if found is None else found)
    return max(needed)


def swatch(name: str, white: int) -> Swatch:
    """The swatch of an oven test."""
    at = setup(name, white)
    return Swatch(
        protocol=OVEN_TEST.name,
        number=1,
        garment=name,
        lot=LOT,
        stack=whites()[white].stack,
        run=PressRun(
            dryer=at.dryer.name, panel_setting=at.setting, belt_speed=at.speed, flash_seconds=at.flash_seconds
        ),
        made_at=MADE,
        state=SwatchState.MADE,
    )


@cache
def making(name: str, white: int) -> float:
    """Cost of making an order of `QUANTITY` pieces with a stack, without tests and reprints."""
    costs, stack = shop().costs, whites()[white].stack
    film = build_film(stack, cloth(name), sample_set(SAMPLES), practice=shop().practice)
    ink = 0.0
    for i, one in enumerate(stack.inked):
        assert one.ink is not None
        ink += float(np.median(film.wet[i])) * INKED * one.ink.density.value * one.ink.price
    return expected_cost(
        costs=costs,
        quantity=QUANTITY,
        blank_price=shop().garment(name).price,
        ink=ink * QUANTITY * (1 + costs.ink_waste),
        burned=len(stack.inked),
        set_up_time=len(stack.inked) * 9 * MINUTE,
        run_time=QUANTITY * (8.0 + 3.0 * stack.flashes),
        crew=2,
    ).order


def test_cost() -> float:
    """What one oven test costs: the swatch and the work at it."""
    costs = shop().costs
    return costs.swatch_cost + OVEN_TEST.work * costs.labour_rate / HOUR

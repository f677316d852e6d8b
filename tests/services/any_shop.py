"""Shops and orders drawn at random from everything that a record allows, however unlikely."""

from __future__ import annotations

import random
from dataclasses import dataclass

from laydown.domain.colour import Colour
from laydown.domain.costs import Climate, Practice
from laydown.domain.dryer import Dryer
from laydown.domain.fibre import FIBRES
from laydown.domain.garment import Dye, Garment, History, Structure
from laydown.domain.ink import Cure, Ink, InkKind, InkOptics
from laydown.domain.order import HAND_CLASSES, Care, Order, Print, Requirements, ThermalEvent
from laydown.domain.press import Press
from laydown.domain.quantity import Quantity
from laydown.domain.shop import Shop
from laydown.units import DAY, from_celsius
from small_shop import (
    MESHES,
    a_print,
    additive,
    barrier,
    blocking_white,
    celsius,
    closed_screen,
    colour,
    dryer,
    flash_unit,
    garment,
    order,
    poly_white,
    press,
    q,
    reducer,
    screen,
    shop,
    white,
    zone,
)


@dataclass(frozen=True, slots=True)
class Draw:
    """Draws records; the same seed draws the same ones."""

    dice: random.Random

    def shop_and_order(self) -> tuple[Shop, Order]:
        dice = self.dice
        inks = tuple(self.ink(f"ink {n}") for n in range(dice.randint(1, 4)))
        inks += tuple(make() for make in (barrier, additive, reducer) if dice.random() < 0.3)
        meshes = dice.sample(list(MESHES), dice.randint(2, 5))
        closed = (closed_screen(),) if dice.random() < 0.5 else ()
        owner = shop(
            inks=inks,
            screens=(*(screen(mesh) for mesh in meshes), *closed),
            presses=(self.press(),),
            dryers=(self.dryer(),),
            climate=Climate(
                temperature=celsius(dice.uniform(-5, 45)),
                humidity=q(dice.random()),
                storage_temperature=celsius(dice.uniform(-15, 60), dice.uniform(0, 10)),
            ),
            practice=Practice(transfer=dice.choice((None, self.spread(0.05, 1.5)))),
        )
        colours = [ink.name for ink in inks if ink.kind is InkKind.COLOUR]
        prints = tuple(self.print_(place, colours) for place in ("front", "back")[: dice.randint(1, 2)])
        asked = order(self.garment(), prints=prints, care=self.care(), requirements=self.requirements())
        return owner, asked

    def spread(self, low: float, high: float) -> Quantity:
        """Draw three numbers in order; the lowest is zero now and then where zero is allowed."""
        three = sorted(self.dice.uniform(low, high) for _ in range(3))
        if low == 0 and self.dice.random() < 0.3:
            three[0] = 0.0
        return q(three[1]) if self.dice.random() < 0.3 else q(three[1], three[0], three[2])

    def srgb(self) -> Colour:
        return Colour(srgb=f"#{self.dice.randrange(16**6):06x}")

    def ink(self, name: str) -> Ink:
        dice = self.dice
        make = dice.choice((white, blocking_white, poly_white, colour))
        changes = {
            "elongation": self.spread(0, 4),
            "density": self.spread(600, 2500),
            "solids": q(dice.choice((1.0, 0.98, 0.4, 0.05))),
            "toughness": dice.randint(1, 5),
            "hand_factor": dice.uniform(0.1, 5),
        }
        if dice.random() < 0.6:
            changes["cure"] = Cure(temperature=celsius(dice.uniform(60, 200)), hold=q(dice.choice((0, 3, 30, 300))))
        if dice.random() < 0.5:
            ratio, thickness = q(dice.uniform(0.1, 0.97)), dice.choice((5e-6, 25.4e-6, 60e-6))
            changes["optics"] = InkOptics(colour=self.srgb(), contrast_ratio=ratio, contrast_thickness=thickness)
        if dice.random() < 0.5:
            changes["gel_temperature"] = celsius(dice.uniform(50, 140), dice.uniform(0, 10))
        if make in {blocking_white, poly_white}:
            changes["capacity"] = dice.choice((0.001, 0.04, 0.3, 5.0))
        return make(name, **changes)

    def garment(self) -> Garment:
        dice = self.dice
        parts = {fibre: dice.uniform(0.05, 1) for fibre in dice.sample(FIBRES, dice.randint(1, 3))}
        blended = {fibre: part / sum(parts.values()) for fibre, part in parts.items()}
        spectrum = Colour(spectrum=tuple(dice.random() for _ in range(36)))
        return garment(
            blended if dice.random() < 0.7 else {"polyester": 1.0},
            structure=dice.choice(list(Structure)),
            areal_mass=self.spread(0.02, 1.0),
            colour=dice.choice((self.srgb(), spectrum)),
            dye=dice.choice(list(Dye)),
            history=dice.choice(list(History)),
            stretch=dice.choice((None, self.spread(0, 3))),
            coated=dice.random() < 0.2,
            width=dice.uniform(0.2, 1.3),
            size=dice.uniform(0.2, 1.5),
        )

    def dryer(self) -> Dryer:
        dice = self.dice
        slowest = dice.uniform(0.002, 0.1)
        zones = tuple(
            zone(
                dice.uniform(0.1, 5),
                panel_temperature=celsius(dice.uniform(50, 700), dice.uniform(0, 40)),
                exchange=self.spread(0, 1),
                air_temperature=celsius(dice.uniform(20, 250), 10),
                air_follow=dice.random(),
                air_coefficient=self.spread(0, 150),
                belt_coefficient=self.spread(0, 60),
            )
            for _ in range(dice.randint(1, 3))
        )
        return dryer(
            zones=zones,
            speed_low=slowest,
            speed_high=slowest * dice.uniform(1.1, 20),
            setting_error=dice.choice((None, q(0, -20, 20))),
            catch_time=dice.uniform(0.5, 60),
        )

    def press(self) -> Press:
        dice = self.dice
        unit = flash_unit(
            radiant_temperature=celsius(dice.uniform(100, 1200)),
            air_temperature=celsius(dice.uniform(20, 200)),
            air_coefficient=self.spread(0, 60),
        )
        return press(
            flashes=(unit,) * dice.randint(0, 2),
            pallet_temperature=dice.choice((None, celsius(dice.uniform(10, 90)))),
        )

    def print_(self, place: str, colours: list[str]) -> Print:
        dice = self.dice
        uses = [(name, dice.uniform(0.01, 0.12)) for name in colours]
        if not uses or dice.random() < 0.8:
            uses.append(("white", dice.uniform(0.01, 0.5)))
        return a_print(
            *uses,
            place=place,
            width=dice.uniform(0.01, 0.4),
            height=dice.uniform(0.01, 0.45),
            finest_detail=dice.choice((None, dice.uniform(5e-5, 2e-3))),
        )

    def care(self) -> Care:
        dice = self.dice
        return Care(
            stack_hot=dice.random() < 0.5,
            pile_height=dice.uniform(0.005, 3),
            transit=dice.choice((None, self.event(-35, 40 * DAY, 40))),
            tumble_dry=dice.choice((None, self.event(30, 7200, 100))),
        )

    def event(self, coldest_c: float, longest: float, most: int) -> ThermalEvent:
        dice = self.dice
        return ThermalEvent(
            name="event",
            temperature=from_celsius(dice.uniform(coldest_c, 140)),
            duration=dice.uniform(0, longest),
            times=dice.randint(1, most),
        )

    def requirements(self) -> Requirements:
        dice = self.dice
        return Requirements(
            opacity=dice.uniform(0.1, 50),
            bleed_grade=dice.choice((1, 2.5, 4, 5)),
            bleed_days=dice.choice((0.0, 0.01, 7.0, 10.0, 60.0)),
            risk=dice.uniform(0.001, 0.5),
            hand=dice.choice(HAND_CLASSES),
            wash=dice.randint(1, 5),
        )

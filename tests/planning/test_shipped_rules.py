"""Every trade rule that laydown ships fires where it should and stays silent where it should not."""

from dataclasses import dataclass, field, replace

import pytest

from laydown.domain.colour import Colour
from laydown.domain.garment import Dye, Garment, Structure
from laydown.domain.ink import Blocker, Viscosity
from laydown.domain.order import Care
from laydown.domain.rule import Effect
from laydown.domain.stack import Role, Stack
from laydown.models.cloth import describe_cloth
from laydown.planning.facts import Setting
from laydown.planning.rules.apply import judge
from laydown.planning.rules.check import check_rules
from laydown.services.shelves import open_shop
from small_shop import (
    CLIMATE,
    additive,
    barrier,
    blend,
    blocking_white,
    colour,
    flashed_twice,
    garment,
    nylon_white,
    order,
    poly_white,
    polyester,
    printed,
    q,
    reducer,
    shop,
    smoothing,
    stack,
    tri_blend,
    white,
)

RULES = {rule.name: rule for rule in open_shop().rules}


@dataclass(frozen=True, kw_only=True)
class Case:
    """A garment, a stack, and what else a rule may look at."""

    of: Garment = field(default_factory=garment)
    stack: Stack = field(default_factory=stack)
    stacked_hot: bool = False
    humidity: float = 0.5

    def setting(self):
        climate = replace(CLIMATE, humidity=q(self.humidity))
        asked = order(self.of, care=Care(stack_hot=self.stacked_hot))
        return Setting(
            shop=shop(climate=climate),
            order=asked,
            print_=asked.prints[0],
            cloth=describe_cloth(self.of),
            stack=self.stack,
        )


def with_reducer(used=None, through="43/80"):
    return stack(printed(used, through, additive=reducer(), additive_share=0.05))


def with_additive(used=None):
    return stack(printed(used, additive=additive(), additive_share=0.25))


def over_barrier(used=None, *, flash=True):
    down = printed(barrier(), "61/64", Role.BARRIER, flash=flash)
    return stack(down, *flashed_twice(used or poly_white()).passes)


def smoothed(used=None, *, flash=True):
    return stack(printed(used, role=Role.UNDERBASE, flash=flash), smoothing(), printed(used))


def nylon(**changes):
    return garment({"nylon": 1.0}, **({"dye": Dye.ACID} | changes))


def cotton(srgb, **changes):
    return garment(colour=Colour(srgb=srgb), **changes)


MESH_JERSEY = polyester(structure=Structure.MESH)
SUBLIMATED = polyester(dye=Dye.SUBLIMATED)
LOW_ENERGY = polyester(dye=Dye.DISPERSE_LOW)
SKY, BROWN, BLACK = cotton("#a9cbe3"), cotton("#4a2f1f"), cotton("#1d1e22")
NO_WHITE = stack(printed(colour(), "120/34", Role.COLOUR))
THIN = white("Thin White", viscosity=Viscosity.THIN)

# Rule: (where it fires, where it stays silent and only just so).
CASES = {
    "no reducer in a blocking white": (
        [Case(stack=with_reducer(blocking_white()))],
        [Case(stack=with_reducer()), Case(stack=stack(printed(blocking_white())))],
    ),
    "inks that are never reduced": (
        [Case(stack=with_reducer(white(reducible=False)))],
        [Case(stack=with_reducer()), Case(stack=stack(printed(white(reducible=False))))],
    ),
    "reducer is for fine mesh": (
        [Case(stack=with_reducer(through="61/64"))],
        [Case(stack=with_reducer(through="77/55")), Case(stack=stack(printed(through="61/64")))],
    ),
    "stretch additive only where cloth stretches": (
        [Case(of=garment(stretch=q(0.5)), stack=with_additive())],
        [Case(of=garment(stretch=q(0.55)), stack=with_additive()), Case(of=garment(stretch=q(0.5)))],
    ),
    "sublimated cloth needs a barrier": (
        [
            Case(of=SUBLIMATED, stack=flashed_twice(poly_white())),
            Case(of=SUBLIMATED, stack=over_barrier(flash=False)),
            Case(of=polyester(dye=Dye.CAMOUFLAGE), stack=flashed_twice(poly_white())),
        ],
        [
            Case(of=SUBLIMATED, stack=over_barrier()),
            Case(of=polyester(), stack=flashed_twice(poly_white())),
            Case(of=SUBLIMATED, stack=NO_WHITE),
            Case(of=blend(0.71, dye=Dye.SUBLIMATED), stack=flashed_twice(poly_white())),
        ],
    ),
    "a polyester white goes over a barrier": (
        [Case(of=SUBLIMATED, stack=over_barrier(blocking_white())), Case(of=SUBLIMATED, stack=over_barrier(white()))],
        [Case(of=SUBLIMATED, stack=over_barrier()), Case(stack=flashed_twice(blocking_white()))],
    ),
    "no barrier without need": (
        [Case(of=polyester(), stack=over_barrier()), Case(stack=over_barrier())],
        [
            Case(of=SUBLIMATED, stack=over_barrier()),
            Case(of=LOW_ENERGY, stack=over_barrier()),
            Case(of=polyester(dye=Dye.UNKNOWN), stack=over_barrier()),
            Case(of=polyester(), stack=flashed_twice()),
        ],
    ),
    "no barrier on cloth with little polyester": (
        [Case(of=blend(0.71, dye=Dye.SUBLIMATED), stack=over_barrier())],
        [Case(of=blend(0.7, dye=Dye.SUBLIMATED), stack=over_barrier()), Case(of=garment())],
    ),
    "nylon needs a bonding ink": (
        [Case(of=nylon()), Case(of=garment({"nylon": 0.5, "cotton": 0.5}))],
        [Case(of=nylon(), stack=stack(printed(nylon_white()))), Case(of=garment({"nylon": 0.49, "cotton": 0.51}))],
    ),
    "coated cloth needs a bonding ink": (
        [Case(of=garment(coated=True))],
        [Case(of=garment(coated=True), stack=stack(printed(nylon_white()))), Case()],
    ),
    "nylon whites are for nylon": (
        [Case(of=polyester(), stack=stack(printed(nylon_white())))],
        [
            Case(of=nylon(), stack=stack(printed(nylon_white()))),
            Case(of=polyester(), stack=stack(printed(white()))),
            Case(of=polyester(dye=Dye.UNDYED), stack=stack(printed(nylon_white()))),
            Case(of=garment({"polyester": 0.9, "nylon": 0.1}), stack=stack(printed(nylon_white()))),
        ],
    ),
    "team wear needs a tough film": (
        [Case(of=MESH_JERSEY, stack=flashed_twice(white()))],
        [
            Case(of=MESH_JERSEY, stack=flashed_twice(poly_white())),
            Case(of=polyester(), stack=flashed_twice(white())),
            Case(of=MESH_JERSEY, stack=NO_WHITE),
        ],
    ),
    "hairy blends need a smoothing pass": (
        [
            Case(of=tri_blend(), stack=flashed_twice()),
            Case(of=tri_blend(), stack=smoothed(flash=False)),
            Case(of=tri_blend(), stack=stack(printed(flash=True), smoothing())),
        ],
        [
            Case(of=tri_blend(), stack=smoothed()),
            Case(of=blend(), stack=flashed_twice()),
            Case(of=tri_blend(), stack=NO_WHITE),
            Case(of=garment({"polyester": 0.55, "cotton": 0.4, "elastane": 0.05}), stack=flashed_twice()),
        ],
    ),
    "tri-blends take a blocking white": (
        [Case(of=tri_blend(), stack=smoothed())],
        [
            Case(of=tri_blend(), stack=smoothed(blocking_white())),
            Case(of=tri_blend(), stack=smoothed(THIN)),
            Case(of=tri_blend(dye=Dye.UNDYED), stack=smoothed()),
            Case(of=blend(), stack=smoothed()),
            Case(of=tri_blend(), stack=NO_WHITE),
        ],
    ),
    "smooth cloth needs no smoothing pass": (
        [Case(stack=smoothed())],
        [
            Case(of=garment(structure=Structure.FLEECE), stack=smoothed()),
            Case(of=tri_blend(), stack=smoothed()),
            Case(stack=flashed_twice()),
        ],
    ),
    "ghosting of cotton": (
        [Case(of=SKY, stack=stack(printed(blocking_white())))],
        [
            Case(of=SKY),
            Case(of=BLACK, stack=stack(printed(blocking_white()))),
            Case(of=blend(0.49, colour=Colour(srgb="#a9cbe3")), stack=stack(printed(blocking_white()))),
            Case(of=SKY, stack=stack(printed(blocking_white(blocker=Blocker.BINDING)))),
        ],
    ),
    "ghosting of earth tones": (
        [Case(of=BROWN, stack=stack(printed(blocking_white())))],
        [Case(of=BROWN), Case(of=BLACK, stack=stack(printed(blocking_white())))],
    ),
    "no reactive blocker on light cotton that is stacked warm": (
        [Case(of=SKY, stacked_hot=True)],
        [
            Case(of=SKY),
            Case(of=SKY, stacked_hot=True, stack=stack(printed(blocking_white()))),
            Case(of=BLACK, stacked_hot=True),
        ],
    ),
    "no reactive blocker on earth tones": (
        [Case(of=BROWN), Case(of=cotton("#d8c6a0"))],
        [Case(of=BROWN, stack=stack(printed(blocking_white()))), Case(of=SKY)],
    ),
    "no reactive blocker in humid air": (
        [Case(of=SKY, humidity=0.6)],
        [Case(of=SKY, humidity=0.59), Case(of=SKY, humidity=0.7, stack=stack(printed(blocking_white())))],
    ),
    "this white blocks no dye": (
        [Case(of=nylon(), stack=stack(printed(nylon_white())))],
        [Case(of=nylon(), stack=stack(printed(blocking_white()))), Case(), Case(of=nylon(), stack=NO_WHITE)],
    ),
    "stretch wear has no blocker either": (
        [Case(of=blend(0.9), stack=stack())],
        [
            Case(of=blend(0.91), stack=stack()),
            Case(of=blend(0.5), stack=stack(printed(blocking_white()))),
            Case(of=polyester(dye=Dye.UNDYED)),
            Case(of=blend(0.5), stack=NO_WHITE),
        ],
    ),
    "thin whites cover less": ([Case(stack=stack(printed(THIN)))], [Case(), Case(stack=NO_WHITE)]),
    "unknown dye on polyester": (
        [Case(of=blend(0.7, dye=Dye.UNKNOWN))],
        [Case(of=blend(0.71, dye=Dye.UNKNOWN)), Case(of=polyester())],
    ),
}


def fires(rule, case):
    verdict = judge((rule,), case.setting())
    return verdict.struck_by is not None or bool(verdict.warnings) or bool(verdict.preferred)


def pairs(which):
    return [
        pytest.param(name, case, id=f"{name}, {number}")
        for name, cases in CASES.items()
        for number, case in enumerate(cases[which])
    ]


@pytest.mark.parametrize(("name", "case"), pairs(0))
def test_a_rule_fires_where_it_should(name, case):
    assert fires(RULES[name], case)


@pytest.mark.parametrize(("name", "case"), pairs(1))
def test_a_rule_stays_silent_where_it_should(name, case):
    assert not fires(RULES[name], case)


def test_every_shipped_rule_is_tried_both_ways():
    assert set(CASES) == set(RULES)
    assert all(fire and silent for fire, silent in CASES.values())


def test_shipped_rules_can_be_applied_and_are_on():
    check_rules(RULES.values())

    assert all(rule.active for rule in RULES.values())


@pytest.mark.parametrize("name", RULES)
def test_a_rule_has_the_effect_that_it_names(name):
    rule, case = RULES[name], CASES[name][0][0]
    verdict = judge((rule,), case.setting())

    assert (verdict.struck_by is rule) == (rule.effect in {Effect.FORBID, Effect.REQUIRE})
    assert (rule in verdict.warnings) == (rule.effect is Effect.WARN)
    assert (rule in verdict.preferred) == (rule.effect is Effect.PREFER)


@pytest.mark.parametrize("name", RULES)
def test_a_rule_that_is_switched_off_says_nothing(name):
    off = replace(RULES[name], active=False)

    for case in (*CASES[name][0], *CASES[name][1]):
        assert not fires(off, case)

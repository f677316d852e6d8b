"""Generated shops whose numbers were written in people's units, as every number of a file was."""

from __future__ import annotations

import random

from hypothesis import strategies as st

from laydown import units
from laydown.documents.mesh_shelf import shipped_meshes
from laydown.domain.colour import Colour
from laydown.domain.costs import Climate, Costs, Practice
from laydown.domain.dryer import Dryer, Zone
from laydown.domain.fibre import FIBRES, FibreContent
from laydown.domain.garment import Dye, Garment, History, Structure
from laydown.domain.ink import Blocker, Bond, Cure, Ink, InkFamily, InkKind, InkOptics, Viscosity
from laydown.domain.press import Flash, Press
from laydown.domain.protocol import DueReading, PassLimit, Protocol, Reads, Step, Subject
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.rule import Condition, Effect, Rule
from laydown.domain.screen import Mesh, Screen, ScreenState
from laydown.domain.shop import PREFERENCES, Preferences, Shop

# Anything printable, with what TOML and CSV find hard: quotes, commas, hashes, backslashes, umlauts, emoji.
TEXT = st.text(st.sampled_from("aZ09 .,;:#'\"\\/%-_[]{}=äß×µ日\U0001f58c\t"), min_size=1, max_size=30).filter(str.strip)
CELL = TEXT.map(str.strip).filter(lambda text: text and not text.startswith("#"))


def number(low, high, convert=lambda x: x, *, digits=4):
    """A number in a file's unit with a few digits, converted to SI."""
    return st.floats(low, high, allow_subnormal=False).map(lambda x: convert(min(max(round(x, digits), low), high)))


def quantity(low, high, convert=lambda x: x):
    """A quantity whose three numbers were written in a file's unit."""
    triple = st.lists(number(low, high), min_size=3, max_size=3).map(sorted)
    return st.builds(
        lambda three, grade, source: Quantity(
            low=convert(three[0]), value=convert(three[1]), high=convert(three[2]), grade=grade, source=source
        ),
        triple,
        st.sampled_from(Grade),
        st.sampled_from(["the mill's sheet", "probe log 7", "2026-11: weighed"]),
    )


def bands(high, convert=lambda x: x):
    """36 numbers of a spectrum, from one drawn seed: drawing each would only slow the search down."""

    def from_seed(seed):
        numbers = random.Random(seed)
        return tuple(convert(round(numbers.uniform(0, high), 3)) for _ in range(36))

    return st.integers(0, 2**32).map(from_seed)


def whole(low, high):
    return st.integers(low, high)


COLOURS = st.one_of(
    st.integers(0, 0xFFFFFF).map(lambda rgb: Colour(srgb=f"#{rgb:06x}")),
    st.builds(
        lambda lightness, a, b, condition: Colour(lab=(lightness, a, b), lab_condition=condition),
        number(30, 70),
        number(-15, 15),
        number(-15, 15),
        st.sampled_from(["D65/10", "D50/2"]),
    ),
    bands(1).map(lambda spectrum: Colour(spectrum=spectrum)),
)


@st.composite
def contents(draw):
    names = draw(st.lists(st.sampled_from(FIBRES), min_size=1, max_size=4, unique=True))
    cuts = sorted(draw(st.lists(st.integers(1, 999), min_size=len(names) - 1, max_size=len(names) - 1, unique=True)))
    tenths = [b - a for a, b in zip([0, *cuts], [*cuts, 1000], strict=True)]
    return FibreContent(
        shares=tuple((name, units.from_percent(tenth / 10)) for name, tenth in zip(names, tenths, strict=True))
    )


def garments(name=TEXT):
    return st.builds(
        Garment,
        name=name,
        content=contents(),
        structure=st.sampled_from(Structure),
        areal_mass=st.one_of(quantity(20, 1000, units.from_gsm), quantity(1, 29, units.from_oz_per_yd2)),
        colour=COLOURS,
        dye=st.sampled_from(Dye),
        stretch=st.none() | quantity(0, 300, units.from_percent),
        coated=st.booleans(),
        history=st.sampled_from(History),
        price=number(0, 10_000),
        size=st.one_of(number(50, 5000, units.from_mm), number(2, 196, units.from_inch)),
        width=number(50, 5000, units.from_mm),
        lot=st.just("") | TEXT,
        note=st.just("") | TEXT,
    )


@st.composite
def inks(draw):
    kind = draw(st.sampled_from(InkKind))
    family = draw(st.sampled_from(InkFamily))
    printed = kind not in {InkKind.STRETCH_ADDITIVE, InkKind.REDUCER}
    blocker = draw(st.sampled_from(Blocker))
    per_mm = bands(400, units.from_per_mm)
    optics = draw(
        st.one_of(
            st.builds(
                InkOptics,
                colour=COLOURS,
                contrast_ratio=quantity(0.005, 0.995),
                contrast_thickness=number(1, 1000, units.from_micron),
            ),
            st.builds(InkOptics, colour=COLOURS, scattering=per_mm, absorption=per_mm),
        )
        if printed
        else st.none()
    )
    return Ink(
        name=draw(TEXT),
        kind=kind,
        family=family,
        cure=Cure(
            temperature=draw(quantity(20, 250, units.from_celsius)),
            hold=draw(quantity(0, 3600)),
            activation_energy=draw(st.none() | quantity(10, 400, units.from_kj_per_mol)),
        ),
        gel_temperature=draw(
            quantity(40, 200, units.from_celsius) if printed else st.none() | quantity(104, 392, units.from_fahrenheit)
        ),
        optics=optics,
        blocker=blocker,
        capacity=draw(quantity(0, 10) if blocker is not Blocker.NONE else quantity(0, 0)),
        elongation=draw(quantity(0, 1000, units.from_percent)),
        bonds=frozenset(draw(st.sets(st.sampled_from(Bond)))),
        toughness=draw(whole(1, 5)),
        reducible=draw(st.booleans()),
        density=draw(quantity(0.5, 3, units.from_g_per_ml)),
        solids=draw(quantity(0, 100, units.from_percent)),
        price=draw(number(0, 10_000)),
        tack=draw(whole(1, 5)),
        viscosity=draw(st.sampled_from(Viscosity)),
        hand_factor=draw(number(0.1, 5)),
        glossy=draw(st.booleans()),
        share_limit=draw(number(0.1, 100, units.from_percent)),
        pail=draw(number(0.1, 1000)),
        shelf_life=draw(number(1, 20_000, units.from_day)),
        lot=draw(st.just("") | TEXT),
        compliance_document=draw(st.just("") | TEXT),
        source=draw(st.just("") | TEXT),
        grade=draw(st.sampled_from(Grade)),
    )


def own_meshes():
    return st.builds(
        Mesh,
        name=CELL.map(lambda text: f"own {text}"[:80]),
        count=st.one_of(number(5, 250, units.from_threads_per_cm), number(13, 635, units.from_threads_per_inch)),
        thread=number(11, 490, units.from_micron),
        opening=quantity(1, 5000, units.from_micron),
        fabric_thickness=quantity(10, 2000, units.from_micron),
        theoretical_volume=quantity(0.5, 1000, units.from_cm3_per_m2),
        weave=st.sampled_from(["plain", "twill"]),
        basis=st.just("") | CELL,
    )


@st.composite
def screen_shelves(draw):
    shipped = tuple(shipped_meshes().values())
    meshes = draw(st.lists(st.sampled_from(shipped) | own_meshes(), max_size=3, unique_by=lambda mesh: mesh.name))
    names = draw(st.lists(CELL, max_size=4, unique=True))
    return tuple(
        Screen(
            name=name,
            mesh=draw(st.sampled_from([None, *meshes])),
            emulsion_over_mesh=draw(number(0, 400, units.from_micron)),
            tension=draw(number(0, 100, units.from_n_per_cm)),
            frame_width=draw(number(60, 2900, units.from_mm)),
            frame_height=draw(number(60, 2900, units.from_mm)),
            state=draw(st.sampled_from(ScreenState)),
            count=draw(whole(0, 10_000)),
        )
        for name in names
    )


def flashes():
    return st.builds(
        Flash,
        name=TEXT,
        radiant_temperature=quantity(30, 2700, units.from_celsius),
        exchange=quantity(0, 1),
        air_temperature=quantity(0, 400, units.from_celsius),
        air_coefficient=quantity(0, 500),
    )


@st.composite
def presses(draw):
    heads = draw(whole(1, 40))
    units_there = tuple(draw(st.lists(flashes(), max_size=2)))
    return Press(
        name=draw(TEXT),
        automatic=draw(st.booleans()),
        heads=heads,
        pallets=draw(whole(1, 60)),
        flashes=units_there,
        flash_heads=tuple(draw(st.lists(whole(1, heads), min_size=1, max_size=3, unique=True))),
        index_time=draw(number(0, 7200)),
        stroke_speed=draw(number(1, 5000, units.from_mm)),
        load_time=draw(number(0, 7200)),
        print_width=draw(number(10, 3000, units.from_mm)),
        print_height=draw(st.one_of(number(1, 118, units.from_inch), number(10, 3000, units.from_mm))),
        set_up_per_screen=draw(number(0, 120, units.from_minute)),
        crew=draw(whole(1, 10)),
        registration=draw(number(0, 10, units.from_mm)),
        pallet_temperature=draw(st.none() | quantity(0, 150, units.from_celsius)),
    )


def zones():
    return st.builds(
        Zone,
        length=number(10, 30_000, units.from_mm),
        panel_temperature=quantity(20, 1200, units.from_celsius),
        exchange=quantity(0, 1),
        air_temperature=quantity(20, 320, units.from_celsius),
        air_follow=number(0, 1),
        air_coefficient=quantity(0, 500),
        belt_coefficient=quantity(0, 500),
    )


@st.composite
def dryers(draw):
    settings = sorted(draw(st.lists(number(20, 1200), min_size=3, max_size=3)))
    speeds = sorted(draw(st.lists(number(0.1, 100), min_size=2, max_size=2, unique=True)))
    return Dryer(
        name=draw(TEXT),
        zones=tuple(draw(st.lists(zones(), min_size=1, max_size=3))),
        setting_low=units.from_celsius(settings[0]),
        setting=units.from_celsius(settings[1]),
        setting_high=units.from_celsius(settings[2]),
        belt_width=draw(number(50, 5000, units.from_mm)),
        speed_low=units.from_metre_per_minute(speeds[0]),
        speed_high=units.from_metre_per_minute(speeds[1]),
        catch_time=draw(number(0, 3600)),
        setting_error=draw(st.none() | quantity(-200, 200)),
        note=draw(st.just("") | TEXT),
    )


@st.composite
def conditions(draw):
    test = draw(
        st.sampled_from(
            ["is", "is not", "at least", "at most", "above", "below", "any of", "none of", "contains", "lacks"]
        )
    )
    if test in {"any of", "none of"}:
        value = tuple(draw(st.lists(TEXT, min_size=1, max_size=3)))
    elif test in {"contains", "lacks"}:
        value = draw(TEXT)
    elif test in {"is", "is not"}:
        value = draw(st.one_of(TEXT, st.booleans(), number(-5, 5)))
    else:
        value = draw(number(-1e6, 1e6))
    return Condition(fact=draw(TEXT), test=test, value=value)


@st.composite
def rule_shelves(draw):
    names = draw(st.lists(TEXT, max_size=3, unique=True))
    rules = []
    for place, name in enumerate(names, start=1):
        effect = draw(st.sampled_from(Effect))
        some = st.lists(conditions(), min_size=1, max_size=3).map(tuple)
        rules.append(
            Rule(
                name=name,
                effect=effect,
                when=draw(some),
                must=draw(some) if effect is Effect.REQUIRE else (),
                reason=draw(TEXT),
                source=draw(TEXT),
                weight=draw(number(0, 1)),
                active=draw(st.booleans()),
                where=f"rules.toml, rule[{place}]",
            )
        )
    return tuple(rules)


@st.composite
def protocols(draw):
    times = st.sampled_from([(1.0, 90), (60.0, 60), (3600.0, 48), (86400.0, 30)]).flatmap(
        lambda unit: st.integers(0, unit[1]).map(lambda count: count * unit[0])
    )
    parts = draw(st.lists(TEXT, min_size=1, max_size=3, unique=True))
    step = st.builds(
        Step,
        text=TEXT,
        part=st.just("") | st.sampled_from(parts),
        temperature=st.none() | number(-39, 290, units.from_celsius, digits=1),
        duration=st.none() | times,
        humidity=st.none() | number(0, 100, units.from_percent, digits=0),
        pressure=st.none() | number(0, 900, units.from_kilopascal, digits=1),
    )
    steps = (*(Step(text=draw(TEXT), part=part) for part in parts), *draw(st.lists(step, max_size=3)))
    due = st.builds(
        DueReading,
        reads=st.sampled_from(Reads),
        after=times,
        part=st.just("") | st.sampled_from(parts),
        times=whole(1, 100),
    )
    bounds = draw(st.lists(number(-5, 5), max_size=2).map(sorted))
    limit = PassLimit(
        reads=draw(st.sampled_from(Reads)),
        text=draw(TEXT),
        least=bounds[0] if bounds else None,
        most=bounds[1] if len(bounds) > 1 else None,
    )
    return Protocol(
        name=draw(st.from_regex(r"[a-z][a-z0-9-]{0,20}[a-z0-9]", fullmatch=True)),
        title=draw(TEXT),
        subject=draw(st.sampled_from(Subject)),
        purpose=draw(TEXT),
        materials=tuple(draw(st.lists(TEXT, max_size=3))),
        steps=steps,
        readings=tuple(draw(st.lists(due, min_size=1, max_size=3))),
        limit=draw(st.none() | st.just(limit)),
        cautions=tuple(draw(st.lists(TEXT, max_size=2))),
        work=draw(whole(0, 600).map(lambda minutes: minutes * 60.0)),
        source=draw(TEXT),
        grade=draw(st.sampled_from(Grade)),
    )


def costs():
    money = number(0, 1e6, digits=2)
    return st.builds(
        Costs,
        currency=st.sampled_from(["USD", "EUR", "€"]),
        labour_rate=money,
        press_rate=money,
        dryer_rate=money,
        screen_cost=money,
        screen_time=number(0, 10_000, units.from_minute),
        ink_waste=number(0, 100, units.from_percent),
        spoilage=number(0, 100, units.from_percent),
        reprint_factor=number(0, 100),
        margin=number(0, 95, units.from_percent),
        swatch_cost=money,
        ink_keeping=money,
        wash_up_cost=money,
        softness=number(0, 100),
    )


def shops():
    def shelf(records):
        return st.lists(records, max_size=2, unique_by=lambda record: record.name).map(tuple)

    return st.builds(
        Shop,
        name=TEXT,
        garments=shelf(garments()),
        inks=shelf(inks()),
        screens=screen_shelves(),
        presses=shelf(presses()),
        dryers=shelf(dryers()),
        rules=rule_shelves(),
        protocols=shelf(protocols()).map(lambda found: tuple(sorted(found, key=lambda one: one.name))),
        costs=costs(),
        climate=st.builds(
            Climate,
            temperature=quantity(-10, 49, units.from_celsius),
            humidity=quantity(0, 100, units.from_percent),
            storage_temperature=quantity(-20, 69, units.from_celsius),
        ),
        practice=st.builds(
            Practice,
            transfer=st.none() | quantity(5, 150, units.from_percent),
            tone_strip=st.just(()) | tone_strips(),
            tone_source=st.just("") | st.just("tone strip of swatches 3, 4"),
        ),
        preferences=st.builds(
            Preferences,
            address=st.sampled_from(("", "http://192.168.1.20:8300", "https://shop.example", "http://[fd00::7]:80")),
            **{name: st.sampled_from(allowed) for name, allowed in PREFERENCES},
        ),
    )


def tone_strips() -> st.SearchStrategy[tuple[tuple[float, float], ...]]:
    """Patches whose tones rise, in tenths of a per cent as they are written."""

    def strip(tones: set[int]) -> tuple[tuple[float, float], ...]:
        return tuple((tone / 10 / 100, (tone // 2 + tone % 2 / 2) / 10 / 100) for tone in sorted(tones))

    return st.sets(st.integers(1, 999), min_size=3, max_size=12).map(strip)

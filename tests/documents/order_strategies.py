"""Generated orders whose numbers were written in people's units, as every number of a file was."""

from __future__ import annotations

import datetime as dt

from hypothesis import strategies as st
from shop_strategies import TEXT, garments, number, whole

from laydown import units
from laydown.domain.order import HAND_CLASSES, Care, InkUse, Order, Print, Requirements, ThermalEvent


@st.composite
def prints(draw, place):
    names = draw(st.lists(st.integers(0, 0xFFFFFF), min_size=1, max_size=4, unique=True))
    inks_used = ["white", *(f"#{rgb:06x}" for rgb in names[1:])]
    return Print(
        place=place,
        width=draw(st.one_of(number(5, 2000, units.from_mm), number(0.2, 78, units.from_inch))),
        height=draw(number(5, 2000, units.from_mm)),
        inks=tuple(InkUse(ink=ink, coverage=draw(number(0.001, 0.25))) for ink in inks_used),
        finest_detail=draw(st.none() | number(0.02, 100, units.from_mm)),
        ruling=draw(st.none() | number(8, 200, units.from_threads_per_inch)),
    )


@st.composite
def orders(draw):
    places = draw(st.lists(TEXT, min_size=1, max_size=3, unique=True))
    event = st.builds(
        ThermalEvent,
        name=st.just("transit"),
        temperature=number(-40, 149, units.from_celsius),
        duration=st.one_of(number(0, 1440, units.from_hour), number(0, 86_400, units.from_minute)),
        times=whole(1, 100),
    )
    placed = draw(st.none() | st.dates(dt.date(2000, 1, 1), dt.date(2050, 1, 1)))
    return Order(
        name=draw(TEXT),
        quantity=draw(whole(1, 1_000_000)),
        due=draw(st.dates(placed or dt.date(2000, 1, 1), dt.date(2100, 1, 1))),
        garment=draw(garments()),
        prints=tuple(draw(prints(place)) for place in places),
        requirements=draw(
            st.builds(
                Requirements,
                opacity=number(0.1, 50),
                bleed_grade=st.sampled_from([1 + half / 2 for half in range(9)]),
                bleed_days=number(0, 60),
                risk=number(0.001, 0.5),
                hand=st.sampled_from(HAND_CLASSES),
                wash=whole(1, 5),
            )
        ),
        care=Care(
            stack_hot=draw(st.booleans()),
            pile_height=draw(number(5, 3000, units.from_mm)),
            transit=draw(st.none() | event),
        ),
        identifier=draw(st.just("") | TEXT),
        placed=placed,
        times_a_year=draw(number(0, 10_000)),
    )

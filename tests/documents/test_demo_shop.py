"""The invented shop has what the trade has on its shelves, and its orders ask what the trade is asked."""

import dataclasses

import pytest

from laydown.documents.order_file import read_order
from laydown.documents.shop_folder import read_shop
from laydown.documents.template import copy_template, demo_order_texts, template_texts
from laydown.domain.garment import Dye, History, Structure
from laydown.domain.ink import Blocker, Bond, InkFamily, InkKind
from laydown.domain.quantity import Grade, Quantity


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop") / "demo"
    copy_template(folder)
    return folder


@pytest.fixture(scope="module")
def shop(folder):
    return read_shop(folder)


@pytest.fixture(scope="module")
def orders(folder, shop):
    """Orders that state their inked shares; those with art are read a floor higher."""
    files = sorted((folder / "orders").glob("*.toml"))
    return {path.stem: read_order(path, shop) for path in files if "artwork" not in path.read_text(encoding="utf-8")}


def whites(shop):
    return shop.inks_of(InkKind.WHITE)


def test_there_is_an_ink_of_every_kind_and_chemistry(shop):
    assert {ink.kind for ink in shop.inks} == set(InkKind)
    assert {ink.family for ink in shop.inks} == set(InkFamily)


def test_there_are_the_eight_whites_of_the_trade(shop):
    def having(**wanted):
        return [ink for ink in whites(shop) if all(getattr(ink, name) == value for name, value in wanted.items())]

    assert len(whites(shop)) == 8
    assert having(blocker=Blocker.BINDING)
    assert len(having(blocker=Blocker.REACTIVE)) == 3
    assert [ink for ink in whites(shop) if ink.blocks and ink.cure.temperature.value < 415]
    assert [ink for ink in whites(shop) if Bond.NYLON in ink.bonds and ink.toughness == 5 and not ink.blocks]
    assert [ink for ink in whites(shop) if ink.elongation.value >= 1.5]


def test_there_are_at_least_eight_spot_colours(shop):
    plastisols = [ink for ink in shop.inks_of(InkKind.COLOUR) if ink.family is InkFamily.PLASTISOL]

    assert len(plastisols) >= 8
    assert len({ink.optics.colour.srgb for ink in plastisols}) == len(plastisols)


def test_the_cotton_white_is_the_cheapest_and_the_fastest_to_gel(shop):
    cotton = min(whites(shop), key=lambda ink: ink.price)

    assert not cotton.blocks
    assert cotton.gel_temperature.value == min(ink.gel_temperature.value for ink in whites(shop))
    assert cotton.tack == min(ink.tack for ink in whites(shop))


def test_blockers_rank_as_in_the_trade(shop):
    by_capacity = sorted((ink for ink in shop.inks if ink.blocks), key=lambda ink: ink.capacity.value)

    assert by_capacity[0].blocker is Blocker.BINDING
    assert by_capacity[-1].kind is InkKind.BARRIER
    assert by_capacity[-1].blocker is Blocker.CARBON
    assert by_capacity[-2].viscosity == "thick"


def test_no_blocking_white_may_be_reduced(shop):
    assert all(not ink.reducible for ink in whites(shop) if ink.blocks)


def test_an_invented_ink_is_assumed_or_says_how_its_number_came_about(shop):
    for ink in shop.inks:
        assert ink.grade is Grade.ASSUMED
        assert ink.source
        assert ink.capacity.grade is Grade.ASSUMED


def test_there_are_screens_from_coarse_to_fine_and_a_smoothing_screen(shop):
    meshes = {screen.mesh.name for screen in shop.screens if screen.mesh}

    assert meshes == {"34/100", "43/80", "48/70", "54/64", "61/64", "77/55", "90/48", "120/34", "140/34"}
    assert any(screen.smooths for screen in shop.screens)
    assert sum(screen.count for screen in shop.screens) >= 50


def test_there_are_automatic_and_manual_presses_and_two_kinds_of_dryer(shop):
    assert sorted((press.automatic, press.heads) for press in shop.presses) == [(False, 4), (True, 8), (True, 10)]
    assert all(press.flashes for press in shop.presses)
    assert sorted(len(dryer.zones) for dryer in shop.dryers) == [2, 3]


def test_every_file_of_the_template_has_a_comment_that_says_what_it_is():
    assert all(text.startswith("# ") for text in template_texts().values())
    assert all(text.startswith("# ") for text in demo_order_texts().values())


def test_every_shelf_is_read_from_the_template(shop):
    assert all(shelf for _, shelf in shop.shelves())


ROWS = {
    "dark cotton": lambda o: o.garment.content.share("cotton") == 1 and "black" in o.garment.name,
    "50/50": lambda o: o.garment.content.share("polyester") == 0.5 and o.garment.structure is Structure.JERSEY,
    "light or earth-tone cotton, warm": lambda o: "sand" in o.garment.name and o.care.stack_hot,
    "polyester": lambda o: o.garment.content.share("polyester") == 1 and o.garment.dye is Dye.DISPERSE_MEDIUM,
    "polyester fleece": lambda o: o.garment.structure is Structure.FLEECE and o.garment.dye is Dye.DISPERSE_LOW,
    "sublimated": lambda o: o.garment.dye is Dye.SUBLIMATED,
    "camouflage": lambda o: o.garment.dye is Dye.CAMOUFLAGE,
    "nylon mesh": lambda o: o.garment.structure is Structure.MESH and o.garment.content.share("nylon") == 1,
    "polyester mesh": lambda o: o.garment.structure is Structure.MESH and o.garment.content.share("polyester") == 1,
    "nylon-elastane": lambda o: o.garment.content.share("elastane") > 0,
    "tri-blend, little bleed": lambda o: len(o.garment.content.names) == 3 and o.garment.dye is Dye.DISPERSE_HIGH,
    "tri-blend, more bleed": lambda o: len(o.garment.content.names) == 3 and o.garment.dye is Dye.DISPERSE_LOW,
    "never printed, unknown dye": lambda o: o.garment.history is History.NEVER_PRINTED and o.garment.dye is Dye.UNKNOWN,
    "colours on dark": lambda o: len(o.prints[0].inks) >= 3 and "black" in o.garment.name,
    "colours on light": lambda o: len(o.prints[0].inks) >= 3 and "white" in o.garment.name,
    "two prints": lambda o: len(o.prints) == 2,
}


@pytest.mark.parametrize("row", ROWS)
def test_there_is_an_order_for_every_row_of_trade_facts(orders, row):
    assert any(ROWS[row](order) for order in orders.values())


def test_the_orders_differ_in_how_often_they_come_and_how_large_they_are(orders):
    assert len(orders) >= 16
    assert len({order.times_a_year for order in orders.values()}) >= 8
    assert len({order.quantity for order in orders.values()}) >= 10
    assert len({order.identifier for order in orders.values()}) == len(orders)


def test_every_order_leaves_time_between_coming_in_and_being_due(orders):
    # An order without a day of coming in is planned from its due day backwards.
    assert all(order.placed is None or (order.due - order.placed).days >= 10 for order in orders.values())


def test_some_garments_are_from_the_shelf_and_some_are_described_in_the_order(orders, shop):
    shelf = {garment.name for garment in shop.garments}
    named = [order.garment.name in shelf for order in orders.values()]

    assert any(named)
    assert not all(named)


def quantities_in(record):
    """Every quantity of a record, however deep."""
    if isinstance(record, Quantity):
        yield record
    elif dataclasses.is_dataclass(record):
        for one in dataclasses.fields(record):
            yield from quantities_in(getattr(record, one.name))
    elif isinstance(record, tuple | list):
        for one in record:
            yield from quantities_in(one)


def test_what_was_measured_at_the_invented_shop_says_that_the_shop_is_invented(shop):
    measured = [q for q in quantities_in(shop) if q.grade is Grade.MEASURED]

    assert len(measured) > 20
    assert {q.source for q in measured if "invented shop" not in q.source} == set()

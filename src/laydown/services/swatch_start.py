"""Starting a swatch: from a plan's print, or from a cloth and the inks that are printed on it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from laydown.documents.protocol_file import protocol_named, protocol_table, protocols_with
from laydown.domain.dryer import Dryer
from laydown.domain.garment import Garment
from laydown.domain.ink import Ink, InkKind
from laydown.domain.plan import Plan, PrintPlan
from laydown.domain.protocol import Protocol
from laydown.domain.quantity import Quantity
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Role, Stack
from laydown.domain.swatch import PressRun, Swatch, SwatchState
from laydown.errors import InvalidInput, NotFound
from laydown.services import swatch_book
from laydown.services.swatch_book import SwatchSheet
from laydown.store import files, orders, plans, shelves, swatches
from laydown.store.database import Store
from laydown.store.orders import StoredOrder
from laydown.store.shop_exchange import load_shop, shop_from_document

MOST_PASSES = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class PassWish:
    """A pass as somebody asks for it: ink and screen by name, hits, and whether a flash follows."""

    ink: str
    screen: str
    hits: int = 1
    flash: bool = False


def tests(store: Store) -> tuple[Protocol, ...]:
    """Tests that this shop may run."""
    with store.read() as tx:
        return protocols_with(load_shop(tx).protocols)


def test_named(store: Store, name: str) -> Protocol:
    """Test by its name.

    Raises
    ------
    NotFound
        When there is none.
    """
    with store.read() as tx:
        return protocol_named(name, load_shop(tx).protocols)


test_named.__test__ = False  # type: ignore[attr-defined]


def own_copy(store: Store, name: str, *, who: str) -> None:
    """Put a test that came along on the shop's own shelf, where it may be changed; once it is there, it stays.

    Raises
    ------
    NotFound
        When there is no such test.
    """
    with store.write(who=who) as tx:
        if shelves.find(tx, "protocols", name) is None:
            shelves.put(tx, "protocols", protocol_table(protocol_named(name)), revision=None)


def order_of(store: Store, order_id: int) -> StoredOrder:
    """Order that a swatch is started for.

    Raises
    ------
    NotFound
        When there is none.
    """
    with store.read() as tx:
        return orders.get(tx, order_id)


def choices(store: Store) -> Shop:
    """Shop whose shelves a form offers."""
    with store.read() as tx:
        return load_shop(tx)


def start_from_plan(
    store: Store,
    order_id: int,
    plan_number: int,
    *,
    protocol: str,
    key: str,
    who: str,
    place: str = "",
    lot: str | None = None,
    made_at: dt.datetime | None = None,
    inked_area: float | None = None,
    note: str = "",
) -> tuple[SwatchSheet, bool]:
    """Start a swatch of what a plan prints, through the dryer as the plan sets it.

    Parameters
    ----------
    place : str
        Print of the order; empty: the first that has a stack.
    lot : str, optional
        Lot of the cloth; None: that of the order's garment.
    made_at : datetime, optional
        When it left the dryer; None: it is still to be made.
    inked_area : float, optional
        Area that took ink [m2]; None: that of the print where it has one pass, else not told.

    Returns
    -------
    SwatchSheet, bool
        The swatch with its number, and whether it is new; started twice under one key, it is started once.

    Raises
    ------
    NotFound
        When order, plan, print or test is not there.
    InvalidInput
        When the print has no stack.
    """
    from laydown.services.plan_book_reading import plan_from_json

    with store.read() as tx:
        stored = plans.get(tx, order_id, plan_number)
        text = plans.text(tx, stored)
        snapshot = shop_from_document(files.content(tx, stored.shop_sha256).decode())
        own = load_shop(tx).protocols
    plan = plan_from_json(text, snapshot)
    printed = [one for one in plan.prints if one.stack is not None and one.settings is not None]
    chosen = next((one for one in printed if place in {"", one.place}), None)
    if chosen is None or chosen.settings is None:
        if place and place not in {one.place for one in plan.prints}:
            raise NotFound("print", place, (one.place for one in plan.prints))
        raise InvalidInput("the plan has no stack for this print yet, so there is nothing to test", where=place)
    garment = plan.order.garment
    settings = chosen.settings.dryer
    flashes = [one.flash_seconds for one in chosen.settings.passes if one.flash_seconds is not None]
    swatch = Swatch(
        protocol=protocol,
        garment=garment.name,
        lot=garment.lot if lot is None else lot.strip(),
        stack=chosen.stack,
        run=PressRun(
            dryer=settings.dryer,
            panel_setting=settings.panel_temperature,
            belt_speed=settings.belt_speed,
            flash_seconds=max(flashes) if flashes else None,
        ),
        made_at=made_at,
        state=SwatchState.MADE if made_at else SwatchState.PLANNED,
        inked_area=_inked_area(plan, chosen) if inked_area is None else inked_area,
        order=order_id,
        plan=plan_number,
        note=note,
    )
    return _keep(store, swatch, protocol_named(protocol, own), key, who, garment, snapshot.dryer(settings.dryer))


def start_from_cloth(
    store: Store,
    *,
    protocol: str,
    key: str,
    who: str,
    garment: str = "",
    ink: str = "",
    lot: str = "",
    passes: Sequence[PassWish] = (),
    dryer: str = "",
    panel: float | None = None,
    belt: float | None = None,
    flash_seconds: float | None = None,
    made_at: dt.datetime | None = None,
    inked_area: float | None = None,
    film_thickness: Quantity | None = None,
    note: str = "",
) -> tuple[SwatchSheet, bool]:
    """Start a swatch of a cloth on the shelf, of a print on it, or a drawdown of an ink.

    Parameters
    ----------
    garment : str
        Shelf name of the cloth; empty for a drawdown of ``ink``.
    passes : sequence of PassWish
        What is printed; none for bare cloth.
    dryer : str
        Shelf name; empty: the first dryer, where something is printed.
    panel, belt : float, optional
        Panel setting [K] and belt speed [m/s]; None: the dryer's usual setting, and its slowest belt's double.
    inked_area : float, optional
        Area that took ink [m2], for what is weighed.
    film_thickness : Quantity, optional
        Of the cured film by a gauge [m], for a drawdown.

    Returns
    -------
    SwatchSheet, bool
        As `start_from_plan`.

    Raises
    ------
    NotFound
        When garment, ink, screen, dryer or test is not on the shelves.
    InvalidInput
        When neither a garment nor an ink is named, or it cannot be printed so.
    """
    with store.read() as tx:
        shop = load_shop(tx)
    if not garment and not ink:
        raise InvalidInput("name the garment whose cloth is tested, or the ink of a drawdown", where="garment")
    cloth = shop.garment(garment) if garment else None
    if ink:
        shop.ink(ink)
    stack = stack_of(shop, passes) if passes else None
    through = None
    if stack is not None or dryer:
        if not shop.dryers:
            raise InvalidInput("there is no dryer on the shelf; put one there first", where="dryer")
        through = shop.dryer(dryer) if dryer else shop.dryers[0]
    run = None
    if through is not None:
        setting = through.setting if panel is None else panel
        if not through.setting_low <= setting <= through.setting_high:
            raise InvalidInput(f"{through.name} cannot be set to {setting:.0f} K", where="panel")
        speed = min(2 * through.speed_low, through.speed_high) if belt is None else belt
        if not through.speed_low <= speed <= through.speed_high:
            raise InvalidInput(f"the belt of {through.name} does not run at that speed", where="belt")
        run = PressRun(dryer=through.name, panel_setting=setting, belt_speed=speed, flash_seconds=flash_seconds)
    swatch = Swatch(
        protocol=protocol,
        garment=garment,
        lot=lot.strip() or (cloth.lot if cloth else ""),
        stack=stack,
        ink=ink,
        run=run,
        made_at=made_at,
        state=SwatchState.MADE if made_at else SwatchState.PLANNED,
        inked_area=inked_area,
        film_thickness=film_thickness,
        note=note,
    )
    return _keep(store, swatch, protocol_named(protocol, shop.protocols), key, who, cloth, through)


def stack_of(shop: Shop, passes: Sequence[PassWish]) -> Stack:
    """Stack of some passes that were asked for; what each is for follows from its ink and its place.

    Raises
    ------
    NotFound
        When an ink or a screen is not on the shelves.
    InvalidInput
        When there are too many, or an ink cannot be printed by itself.
    """
    if len(passes) > MOST_PASSES:
        raise InvalidInput(f"{len(passes)} passes; allowed are up to {MOST_PASSES}", where="passes")
    inks = [shop.ink(one.ink) for one in passes]
    last = len(passes) - 1
    made = []
    for place, (wish, ink) in enumerate(zip(passes, inks, strict=True)):
        if ink.kind in {InkKind.STRETCH_ADDITIVE, InkKind.REDUCER}:
            raise InvalidInput(f"{ink.name} is stirred into an ink and not printed by itself", where="passes")
        role = _role(ink, any(other.kind is InkKind.COLOUR for other in inks[place + 1 :]))
        made.append(
            Pass(
                role=role,
                ink=ink,
                screen=shop.screen(wish.screen),
                hits=wish.hits,
                flash_after=wish.flash and place < last,
                on_cloth=ink.kind is InkKind.COLOUR and place == 0,
            )
        )
    return Stack(passes=tuple(made))


def usual_passes(shop: Shop, garment: Garment | None = None) -> tuple[Mapping[str, object], ...]:
    """Passes that a form begins with: a white twice, a flash between, through a screen that is on the rack."""
    whites = [ink for ink in shop.inks if ink.kind is InkKind.WHITE]
    if garment is not None and garment.content.share("polyester") > 0:
        whites.sort(key=lambda ink: -ink.capacity.value)
    screens = [one for one in shop.screens if one.mesh is not None]
    if not whites or not screens:
        return ()
    screen = min(screens, key=lambda one: abs((one.mesh.count if one.mesh else 0.0) - 4300.0))
    white = {"ink": whites[0].name, "screen": screen.name, "hits": 1}
    return (white | {"flash": True}, white | {"flash": False})


def _inked_area(plan: Plan, chosen: PrintPlan) -> float | None:
    """Area that takes ink in a print of one pass [m2]."""
    if chosen.stack is None or len(chosen.stack.passes) != 1:
        return None
    size = next(one for one in plan.order.prints if one.place == chosen.place)
    return size.width * size.height * chosen.stack.passes[0].coverage


def _role(ink: Ink, under_colour: bool) -> Role:
    if ink.kind is InkKind.BARRIER:
        return Role.BARRIER
    if ink.kind is InkKind.COLOUR:
        return Role.COLOUR
    return Role.UNDERBASE if under_colour else Role.WHITE


def _keep(
    store: Store,
    swatch: Swatch,
    protocol: Protocol,
    key: str,
    who: str,
    garment: Garment | None,
    dryer: Dryer | None,
) -> tuple[SwatchSheet, bool]:
    if swatch.made_at is not None and swatch.made_at > dt.datetime.now(dt.UTC) + dt.timedelta(hours=1):
        raise InvalidInput("a swatch is not made in the future; say when it left the dryer", where="made_at")
    with store.write(who=who) as tx:
        if swatch.order is not None:
            orders.get(tx, swatch.order)
        cloth = replace(garment, lot=swatch.lot) if garment is not None else None
        kept, new = swatches.add(tx, swatch, protocol=protocol, key=key, garment=cloth, dryer=dryer)
        return swatch_book.sheets_of(tx, (kept,))[0], new

"""A store with something in every table, and all of a store's rows to compare."""

import datetime as dt
from dataclasses import replace

from claim_records import fill_claims
from dryer_records import fill_dryer
from order_texts_of_store import ORDER, order_text
from sqlalchemy import select

from laydown.domain.finding import ClothFinding, Level
from laydown.domain.measurement import ColourMeasurement, Conditions, GreyScaleGrade
from laydown.domain.protocol import Reads
from laydown.domain.reading import Reading
from laydown.domain.stack import Pass, Role, Stack
from laydown.domain.swatch import PressRun, Swatch, SwatchState
from laydown.store import (
    api_tokens,
    feeds,
    files,
    findings,
    import_mappings,
    jobs,
    orders,
    plans,
    press_log,
    readings,
    sessions,
    swatches,
    users,
)
from laydown.store.schema import metadata
from laydown.store.shop_exchange import import_folder

PLAN = '{"complete": true, "meta": {"seed": 20240229, "samples": 256, "version": "0.1.0"}, "note": "µ"}\n'
HASH = "$argon2id$v=19$m=8,t=1,p=1$MTIzNDU2Nzg5MA$6q3pJ7yqXw5f0bnYHZ2yxA"
NOON = dt.datetime(2026, 12, 1, 12, tzinfo=dt.UTC)


def fill(store, folder):
    """Write something into every table; returns the order's number."""
    with store.write(who="Ünal") as tx:
        shop = import_folder(tx, folder)
        user = users.add(tx, "Ünal", "owner", password_hash=HASH)
        sessions.start(tx, user.id, lifetime=dt.timedelta(days=3650), device="tablet")
        api_tokens.add(tx, user.id, "till", role="press")
        art = files.put(tx, b"\x00\xffpicture" * 100)
        order = orders.add(tx, ORDER, files={"art/a.png": art.sha256})
        plans.add(tx, order.id, PLAN, shop, order_version=1, reason="first")
        order = orders.change(tx, order.id, order_text(quantity=150), revision=orders.get(tx, order.id).revision)
        plans.add(tx, order.id, PLAN, shop, order_version=2, changed_from=1, change={"belt": 2.5}, reason="slower")
        orders.approve(tx, order.id, 2, revision=order.revision)
        for pieces in (24, 26):
            press_log.add(
                tx, order.id, key=f"count-{pieces}", kind="count", document={"pieces": pieces}, happened_at=NOON
            )
        jobs.add(tx, "plan", {"order": order.id})
        jobs.claim(tx, "w1")
        jobs.finish(tx, 1, {"plan": 2})
    fill_lab(store, shop, order.id, user.id)
    fill_dryer(store)
    fill_claims(store, order.id)
    return order.id


def printed_swatch(shop, *, order=None):
    """A white over a white on the first garment, through the first dryer."""
    inks = [ink for ink in shop.inks if ink.kind.value == "white"]
    screen = next(one for one in shop.screens if one.mesh)
    passes = (
        Pass(role=Role.UNDERBASE, ink=inks[0], screen=screen, hits=2, flash_after=True),
        Pass(role=Role.WHITE, ink=inks[1], screen=screen, coverage=0.75, shows=0.5),
    )
    garment = shop.garments[0]
    return Swatch(
        protocol="hot-van",
        garment=garment.name,
        lot="L-7",
        stack=Stack(passes=passes),
        run=PressRun(dryer=shop.dryers[0].name, panel_setting=700.0, belt_speed=0.05, flash_seconds=6.5),
        made_at=NOON,
        state=SwatchState.MADE,
        order=order,
        plan=2 if order else None,
        note="held by a pin, é",
    )


def fill_lab(store, shop, order_id, user_id):
    """Write something into every table of the lab."""
    later = NOON + dt.timedelta(days=3)
    with store.write(who="Ünal") as tx:
        protocol = next(one for one in shop.protocols if one.name == "hot-van")
        kept, _ = swatches.add(
            tx,
            printed_swatch(shop, order=order_id),
            protocol=protocol,
            key="swatch-0001",
            garment=shop.garments[0],
            dryer=shop.dryers[0],
        )
        swatches.tick(tx, kept.number, key="tick-0001", step=0, done=True, happened_at=NOON)
        white = ColourMeasurement(
            name="w",
            lab=(90.1, -1.25, 2.0),
            conditions=Conditions(illuminant="D65", observer="10", instrument="handheld"),
        )
        first, _ = readings.add(
            tx,
            Reading(
                swatch=kept.number, reads=Reads.COLOUR, value=white, taken_at=later, operator="Ünal", part="warm half"
            ),
            key="reading-0001",
        )
        readings.add(
            tx,
            Reading(
                swatch=kept.number,
                reads=Reads.COLOUR,
                value=replace(white, lab=(91.1, -1.25, 2.0)),
                taken_at=later,
                operator="Ünal",
                part="warm half",
                corrects=first.number,
                note="typed wrongly",
            ),
            key="reading-0002",
        )
        grade = Reading(
            swatch=kept.number,
            reads=Reads.STAINING,
            value=GreyScaleGrade(value=4.5),
            taken_at=later,
            operator="Ünal",
            part="warm half",
        )
        readings.add(tx, grade, key="reading-0003")
        photo = files.put(tx, b"\x89PNG photo")
        picture = Reading(swatch=kept.number, reads=Reads.PHOTO, value=photo.sha256, taken_at=later, operator="Ünal")
        readings.add(tx, picture, key="reading-0004")
        import_mappings.remember(tx, "measurements", "handheld", {"columns": {"L": "L*"}})
        found = ClothFinding(
            level=Level.LOT,
            garment=shop.garments[0].name,
            lot="L-7",
            dimensions=("release", "diffusion"),
            draws=((0.1, -0.2), (1.5, 0.3)),
            swatches=(kept.number,),
            readings=3,
            fitted_at=later,
            priors="p1",
        )
        findings.add(tx, found, rests_on=(1, 2, 3), report={"residuals": [0.1]})
        findings.add_measure(tx, "transfer", "", {"value": 0.6}, rests_on=(1,))
        feeds.renew(tx, user_id)


def all_rows(store, *, without=()):
    """Every row of every table, by table."""
    with store.read() as tx:
        return {
            table.name: [tuple(row) for row in tx.run(select(table).order_by(*table.primary_key.columns))]
            for table in metadata.sorted_tables
            if table.name not in without
        }

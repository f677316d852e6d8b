"""Weighings that people enter become the transfer that plans use, and plans say so."""

import json
from dataclasses import replace

import pytest
from measured_swatches import (
    AREA,
    INK,
    SCREEN,
    drawdown,
    dropped,
    gain_at,
    read,
    shop_of,
    started,
    strip,
    weighing,
    work,
)

from laydown.domain.costs import Practice
from laydown.domain.protocol import Reads
from laydown.domain.quantity import Grade, Quantity
from laydown.errors import InvalidInput, NotFound
from laydown.services import shop_fits, swatch_book
from laydown.services.shop_fits_document import document_of_fit
from laydown.services.shop_fits_view import view_of
from laydown.services.swatch_start import PassWish
from laydown.store import shelves
from laydown.store.shelf_documents import setting_documents
from laydown.store.shop_exchange import load_shop

# --- transfer ------------------------------------------------------------------------------------------------------


def test_weighings_become_the_transfer_that_plans_use_and_the_shelf_names_the_swatch(store):
    before = shop_of(store).practice.transfer
    number, taken = weighing(store, [gain_at(shop_of(store), share) for share in (0.60, 0.62, 0.61, 0.63, 0.62)])

    (job,) = work(store)

    assert (job.kind, job.state, job.result["used"]) == ("measure", "done", True)
    after = shop_of(store).practice.transfer
    assert after != before
    assert after.low < 0.616 < after.high
    assert (after.grade, after.source) == (Grade.MEASURED, f"weighings of swatch {number}")
    found = shop_fits.sheet(store, "transfer")
    assert (found.swatches, found.readings) == ((number,), tuple(sorted(taken)))
    assert not found.stale
    assert found.used.rests_on == found.readings


def test_masses_without_names_are_paired_in_the_order_they_were_weighed(store):
    gains = [gain_at(shop_of(store), share) for share in (0.58, 0.62, 0.66)]
    named, _ = weighing(store, gains)
    first = shop_fits.sheet(store, "transfer").fit
    dropped(store, named)
    weighing(store, gains, named=False)

    second = shop_fits.sheet(store, "transfer").fit

    assert second.transfer.value == pytest.approx(first.transfer.value, rel=1e-12)


def test_a_weighing_that_contradicts_the_others_waits_for_a_person(store):
    shares = (0.60, 0.605, 0.61, 0.60, 0.61, 0.60, 1.2)
    weighing(store, [gain_at(shop_of(store), share) for share in shares])
    before = shop_of(store).practice.transfer

    (job,) = work(store)

    assert job.result["used"] is False
    assert shop_of(store).practice.transfer == before
    found = shop_fits.sheet(store, "transfer")
    assert found.contradicts
    assert "readings contradict each other" in view_of(found)["standing"]
    assert any("piece 7" in one and "read it again" in one for one in found.fit.warnings)

    used = shop_fits.use(store, "transfer", who="Lea")

    assert shop_of(store).practice.transfer.source == used.source
    assert shop_fits.sheet(store, "transfer").stale is False


def test_a_corrected_reading_takes_the_place_of_the_old_one(store):
    number, taken = weighing(store, [gain_at(shop_of(store), share) for share in (0.60, 0.61, 0.62)])
    wrong = shop_fits.sheet(store, "transfer").fit.transfer.value
    gain = gain_at(shop_of(store), 0.8) / 1e3
    read(store, number, Reads.MASS, 0.2 + gain, part="after", area="1", minutes=11, corrects=taken[1])

    found = shop_fits.sheet(store, "transfer")

    assert found.fit.transfer.value > wrong
    assert taken[1] not in found.readings


def test_an_area_that_was_wrong_is_put_right_and_plans_follow(store):
    number, _ = weighing(store, [gain_at(shop_of(store), share) for share in (0.60, 0.61, 0.62)], area=2 * AREA)
    work(store)
    wrong = shop_of(store).practice.transfer.value
    sheet = swatch_book.sheet(store, number)

    swatch_book.keep(store, number, revision=sheet.stored.revision, who="Lea", inked_area=AREA)

    found = shop_fits.sheet(store, "transfer")
    assert found.stale
    assert "areas or films are others by now" in view_of(found)["standing"]
    assert [job.result["used"] for job in work(store)] == [True]
    assert shop_of(store).practice.transfer.value > 1.5 * wrong
    assert not shop_fits.sheet(store, "transfer").stale


def test_a_note_on_a_swatch_asks_for_no_fit(store):
    number, _ = weighing(store, [gain_at(shop_of(store), 0.6)])
    work(store)
    sheet = swatch_book.sheet(store, number)

    swatch_book.keep(store, number, revision=sheet.stored.revision, who="Lea", note="damp cloth", inked_area=AREA)

    assert work(store) == []


def test_a_dropped_swatch_asks_for_a_fit_without_it(store):
    first, _ = weighing(store, [gain_at(shop_of(store), share) for share in (0.60, 0.61, 0.62)])
    second, _ = weighing(store, [gain_at(shop_of(store), share) for share in (0.63, 0.62, 0.61)])
    work(store)

    dropped(store, second)

    assert [job.result["used"] for job in work(store)] == [True]
    assert shop_of(store).practice.transfer.source == f"weighings of swatch {first}"


def test_what_somebody_types_onto_the_shelf_after_a_fit_is_told(store):
    weighing(store, [gain_at(shop_of(store), share) for share in (0.60, 0.61, 0.62)])
    drawdown(store)
    strip(store, [(10, 14), (50, 65), (90, 96)])
    work(store)
    assert [(one.kind, one.overruled, one.stale) for one in shop_fits.sheets(store)] == [
        ("transfer", False, False),
        ("tone", False, False),
        ("optics", False, False),
    ]
    with store.write(who="Lea") as tx:
        typed = Quantity(value=0.9, low=0.8, high=1.0, grade=Grade.ASSUMED, source="as the maker says")
        shop = load_shop(tx)
        item = shelves.get(tx, "practice", "practice")
        document = setting_documents(replace(shop, practice=Practice(transfer=typed)))["practice"]
        shelves.put(tx, "practice", document, revision=item.revision)

    found = {one.kind: one for one in shop_fits.sheets(store)}

    assert {kind: one.overruled for kind, one in found.items()} == {"transfer": True, "tone": True, "optics": False}
    assert view_of(found["transfer"])["standing"] == "Plans use what somebody put on the shelf after it."
    assert found["transfer"].stale


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"area": None}, "nobody said how large the inked area is"),
        ({"before": 0.2, "gains": (-1.0,)}, "weighs no more after printing than before"),
    ],
)
def test_what_cannot_be_used_is_named_with_its_reason(store, changes, why):
    gains = changes.pop("gains", (5.0,))
    number, _ = weighing(store, gains, **changes)

    found = shop_fits.sheet(store, "transfer")

    assert found.fit is None
    assert found.problem == "no garment was weighed before and after printing yet"
    assert [f"swatch {number}" in one and why in one for one in found.unused] == [True]


def test_a_piece_that_was_weighed_once_is_named(store):
    number, _ = weighing(store, [gain_at(shop_of(store), 0.6)])
    read(store, number, Reads.MASS, 0.2, part="before", area="9")

    assert f"swatch {number}: piece 9 was weighed only before printing" in shop_fits.sheet(store, "transfer").unused


def test_of_several_passes_nobody_knows_what_one_left(store):
    passes = [PassWish(ink=INK, screen=SCREEN, flash=True), PassWish(ink=INK, screen=SCREEN)]
    number = started(store, "weighing", garment="Quayside tee black", passes=passes, inked_area=AREA)
    read(store, number, Reads.MASS, 0.2, part="before")

    assert shop_fits.sheet(store, "transfer").unused[0].startswith(f"swatch {number}: 2 passes were printed")


# --- plans, and what is told ---------------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_plan_after_the_weighing_lays_down_by_it_and_names_it(store):
    from laydown.documents.template import demo_folder
    from laydown.services.planning import plan_order
    from laydown.services.shelves import read_order

    def planned():
        shop = shop_of(store)
        return plan_order(shop, read_order(demo_folder() / "02-brewery-navy-tees.toml", shop))

    before = planned()
    number, _ = weighing(store, [gain_at(shop_of(store), share) for share in (0.50, 0.51, 0.49, 0.50)])
    work(store)

    after = planned()

    assert before.own_tests == ()
    assert len(after.own_tests) == 1
    assert f"weighings of swatch {number}" in after.own_tests[0]
    films = [plan.prints[0].forecast.passes[0].wet.p50 / _volume(plan) for plan in (before, after)]
    assert films[1] < films[0]


def _volume(plan):
    printed = plan.prints[0].stack.inked[0]
    return printed.screen.mesh.theoretical_volume.value * printed.hits


def test_a_fit_is_plain_data_that_json_can_hold(store):
    weighing(store, [gain_at(shop_of(store), share) for share in (0.6, 0.61, 0.62)])
    drawdown(store)
    strip(store, [(10, 14), (30, 42), (50, 65)])

    for found in shop_fits.sheets(store):
        document = json.loads(json.dumps(document_of_fit(found), allow_nan=False))
        view = view_of(found, chart=True)
        assert document["quantities"], found.kind
        assert len(view["checks"]) == len(found.fit.checks)
        assert view["chart"].startswith("<svg") == (found.kind != "transfer")


def test_nothing_is_fitted_where_nothing_was_read(store):
    assert [(one.kind, one.fit, bool(one.problem)) for one in shop_fits.sheets(store)] == [
        ("transfer", None, True),
        ("tone", None, True),
    ]
    with pytest.raises(InvalidInput, match="no tone strip was read yet"):
        shop_fits.use(store, "tone", who="Lea")


@pytest.mark.parametrize(("kind", "ink"), [("viscosity", ""), ("optics", "Invisible Ink"), ("tone", INK)])
def test_what_is_not_there_is_told(store, kind, ink):
    with pytest.raises(NotFound):
        shop_fits.sheet(store, kind, ink)

"""Weighings, drawdowns and strips that people enter become numbers that plans use, and plans say so."""

import datetime as dt
import json
import shutil
import uuid
from dataclasses import replace

import numpy as np
import pytest

from laydown.domain.costs import Practice
from laydown.domain.measurement import ColourMeasurement, Conditions, Geometry, Spectrum
from laydown.domain.protocol import Reads
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.swatch import SwatchState
from laydown.errors import InvalidInput, NotFound
from laydown.services import opening, shop_fits, swatch_book, swatch_readings, swatch_start
from laydown.services.job_worker import do_job
from laydown.services.plan_standing import differences
from laydown.services.shop_fits_document import document_of_fit
from laydown.services.shop_fits_view import view_of
from laydown.services.swatch_start import PassWish
from laydown.store import jobs, shelves
from laydown.store.shelf_documents import document_of, setting_documents
from laydown.store.shop_exchange import load_shop

NOW = dt.datetime.now(dt.UTC) - dt.timedelta(hours=6)
INK, SCREEN, AREA = "Chalk Cotton White", "43-80 block", 0.04
OTHER = "61-64 general"
RED = "Beacon Red"


@pytest.fixture(scope="module")
def demo_file(tmp_path_factory):
    file = tmp_path_factory.mktemp("demo") / "laydown.sqlite"
    with opening.open_database(str(file)) as store:
        opening.start_demo(store, who="tests")
    return file


@pytest.fixture
def store(demo_file, tmp_path):
    shutil.copy(demo_file, tmp_path / "laydown.sqlite")
    with opening.open_database(str(tmp_path / "laydown.sqlite")) as opened:
        yield opened


def shop_of(store):
    with store.read() as tx:
        return load_shop(tx)


def started(store, protocol, **changes):
    sheet, _ = swatch_start.start_from_cloth(
        store, protocol=protocol, key=uuid.uuid4().hex, who="Lea", made_at=NOW, **changes
    )
    return sheet.stored.number


def read(store, number, reads, value, *, part="", area="", minutes=0.0, corrects=None):
    row, _ = swatch_readings.add(
        store, number, key=uuid.uuid4().hex, reads=reads, value=value, who="Lea", part=part, area=area,
        corrects=corrects, taken_at=NOW + dt.timedelta(minutes=minutes),
    )  # fmt: skip
    return row.number


def weighing(store, gains, *, area=AREA, before=0.2, named=True):
    """Swatch of pieces that took up so many grams, and the numbers of its readings."""
    number = started(
        store, "weighing", garment="Quayside tee black", passes=[PassWish(ink=INK, screen=SCREEN)], inked_area=area
    )
    taken = []
    for piece, gain in enumerate(gains, start=1):
        name = str(piece) if named else ""
        taken.append(read(store, number, Reads.MASS, before, part="before", area=name, minutes=piece))
        taken.append(read(store, number, Reads.MASS, before + gain / 1e3, part="after", area=name, minutes=10 + piece))
    return number, taken


def gain_at(shop, transfer):
    """Grams that a print of `AREA` takes up at a transfer."""
    mesh = shop.screen(SCREEN).mesh
    return 1e3 * transfer * mesh.theoretical_volume.value * shop.ink(INK).density.value * AREA


def work(store):
    """Do what waits, as a worker does; tells what was made."""
    done = []
    while True:
        with store.write(who="worker") as tx:
            job = jobs.claim(tx, "worker of the tests")
        if job is None:
            return done
        do_job(store, job)
        with store.read() as tx:
            done.append(jobs.get(tx, job.id))


def spectrum(values, geometry=Geometry.D8_INCLUDED):
    return ColourMeasurement(
        name="film",
        spectrum=Spectrum(start_nm=380, step_nm=10, values=tuple(float(v) for v in values)),
        conditions=Conditions(geometry=geometry),
    )


def drawdown(
    store, *, ink=INK, black=0.3, white=0.8, gauge=3e-5, masses=None, area=None, geometry=Geometry.D8_INCLUDED
):
    film = None
    if gauge is not None:
        film = Quantity(value=gauge, low=0.95 * gauge, high=1.05 * gauge, grade=Grade.MEASURED, source="film gauge")
    number = started(store, "drawdown", ink=ink, film_thickness=film, inked_area=area)
    for part, mass in zip(("bare card", "wet card"), masses or (), strict=False):
        read(store, number, Reads.MASS, mass, part=part)
    for part, levels in (("bare card", (0.05, 0.85)), ("film", (black, white))):
        for over, level in zip(("over black", "over white"), levels, strict=True):
            value = spectrum(np.full(36, level), geometry)
            read(store, number, Reads.COLOUR, value, part=part, area=over, minutes=60)
    return number


def strip(store, tones, *, screen=SCREEN):
    number = started(store, "tone-strip", garment="Quayside tee black", passes=[PassWish(ink=INK, screen=screen)])
    for film, printed in tones:
        read(store, number, Reads.TONE, printed / 100, part="strip", area=f"{film} %", minutes=60)
    return number


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


def dropped(store, number):
    sheet = swatch_book.sheet(store, number)
    swatch_book.keep(store, number, revision=sheet.stored.revision, who="Lea", state=SwatchState.DROPPED)


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


# --- ink optics ----------------------------------------------------------------------------------------------------


def test_drawdowns_become_k_and_s_on_the_ink_s_record(store):
    number = drawdown(store)

    (job,) = work(store)

    assert job.result == {"kind": "optics", "subject": INK, "used": True}
    ink = shop_of(store).ink(INK)
    assert len(ink.optics.scattering) == 36
    assert ink.optics.contrast_ratio is None
    assert ink.source.endswith(f"; K and S: drawdowns of swatch {number}")
    fit = shop_fits.sheet(store, "optics", INK).fit
    assert ink.optics.scattering == pytest.approx(fit.optics.scattering, rel=1e-9)

    another = drawdown(store, black=0.31)
    work(store)

    assert shop_of(store).ink(INK).source.count("K and S") == 1
    assert shop_of(store).ink(INK).source.endswith(f"drawdowns of swatches {number}, {another}")


def test_sources_stay_as_short_as_a_shelf_takes_them(store):
    with store.write(who="Lea") as tx:
        item = shelves.get(tx, "inks", INK)
        document = document_of("inks", replace(load_shop(tx).ink(INK), source="as the maker says, " * 26))
        shelves.put(tx, "inks", document, revision=item.revision)
    drawdown(store)
    assert [job.state for job in work(store)] == ["done"]
    assert shop_of(store).ink(INK).source.endswith("; K and S: drawdowns of swatch 1")
    assert not shop_fits.sheet(store, "optics", INK).overruled
    many = replace(shop_fits.sheet(store, "optics", INK), swatches=tuple(range(3, 90)))
    assert many.source == "drawdowns of 87 swatches, 3 to 89"


def test_a_film_s_thickness_may_come_from_scales_and_area(store):
    ink = shop_of(store).ink(INK)
    area, film = 0.01, 3e-5
    gain = film / ink.solids.value * ink.density.value * area
    drawdown(store, gauge=None, masses=(0.05, 0.05 + gain), area=area)

    fit = shop_fits.sheet(store, "optics", INK).fit

    assert fit.thickness[0].low < film < fit.thickness[0].high


def test_a_film_of_unknown_thickness_is_not_used(store):
    number = drawdown(store, gauge=None)

    found = shop_fits.sheet(store, "optics", INK)

    assert found.fit is None
    assert f"swatch {number}: how thick the film is, is not known" in found.unused[0]


def test_films_with_and_without_gloss_are_not_mixed(store):
    drawdown(store)
    drawdown(store, geometry=Geometry.G45_0)

    found = shop_fits.sheet(store, "optics", INK)

    assert found.fit is None
    assert "some films were read with the gloss and some without" in found.problem


def test_a_drawdown_tells_of_its_own_ink_only(store):
    drawdown(store, ink=RED, black=0.1, white=0.4)
    before = shop_of(store).ink(INK)

    work(store)

    assert shop_of(store).ink(INK) == before
    assert [one.subject for one in shop_fits.sheets(store) if one.kind == "optics"] == [RED]


# --- dot gain ------------------------------------------------------------------------------------------------------


def test_a_strip_becomes_the_tone_curve_that_films_are_made_by(store):
    strip(store, [(10, 14), (30, 42), (50, 65), (70, 83), (90, 96)])

    (job,) = work(store)

    assert job.result["used"] is True
    curve = shop_of(store).practice.tone_strip
    assert np.interp(0.5, *zip(*curve, strict=True)) == pytest.approx(0.65, abs=0.03)
    assert shop_of(store).practice.tone_source == "tone strip of swatch 1"


def test_tones_by_colour_are_those_between_cloth_and_solid(store):
    number = started(store, "tone-strip", garment="Quayside tee black", passes=[PassWish(ink=INK, screen=SCREEN)])
    dark, light = 0.05, 0.85
    shares = {"20 %": 0.3, "50 %": 0.66, "80 %": 0.9}
    read(store, number, Reads.COLOUR, spectrum(np.full(36, dark)), part="strip", area="cloth", minutes=60)
    read(store, number, Reads.COLOUR, spectrum(np.full(36, light)), part="strip", area="solid", minutes=60)
    for area, share in shares.items():
        value = spectrum(np.full(36, dark + share * (light - dark)))
        read(store, number, Reads.COLOUR, value, part="strip", area=area, minutes=60)

    found = shop_fits.sheet(store, "tone")

    assert [printed for _, printed in found.points] == pytest.approx(list(shares.values()), abs=1e-6)


def test_strips_of_several_screens_are_one_curve_and_that_is_said(store):
    tones = [(10, 14), (50, 65), (90, 96)]
    strip(store, tones)
    assert shop_fits.sheet(store, "tone").fit.warnings == ()
    strip(store, tones, screen=OTHER)

    assert (
        shop_fits.sheet(store, "tone")
        .fit.warnings[-1]
        .startswith(f"the strips were printed through 2 screens, {SCREEN}, {OTHER}; one curve stands for all")
    )


def test_a_tone_without_its_film_tone_is_named(store):
    number = started(store, "tone-strip", garment="Quayside tee black", passes=[PassWish(ink=INK, screen=SCREEN)])
    reading = read(store, number, Reads.TONE, 0.5, part="strip", area="the middle", minutes=60)

    assert shop_fits.sheet(store, "tone").unused == (
        f"swatch {number}: reading {reading} does not say which tone of the film it is of",
    )


def test_plans_made_before_a_weighing_a_drawdown_or_a_strip_are_out_of_date_and_say_why(store):
    then = shop_of(store)
    weighing(store, [gain_at(then, share) for share in (0.60, 0.61, 0.62)])
    work(store)
    weighed = shop_of(store)
    assert differences(then, weighed) == ("practice changed",)
    drawdown(store)
    work(store)
    drawn = shop_of(store)
    assert differences(weighed, drawn) == (f"inks: {INK} changed",)
    strip(store, [(10, 14), (50, 65), (90, 96)])
    work(store)
    assert differences(drawn, shop_of(store)) == ("practice changed",)


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

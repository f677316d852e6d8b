"""Drawdowns and strips that people enter become K and S of inks and the shop's dot gain."""

from dataclasses import replace

import numpy as np
import pytest
from measured_swatches import (
    INK,
    OTHER,
    RED,
    SCREEN,
    drawdown,
    gain_at,
    read,
    shop_of,
    spectrum,
    started,
    strip,
    weighing,
    work,
)

from laydown.domain.measurement import Geometry
from laydown.domain.protocol import Reads
from laydown.services import shop_fits
from laydown.services.plan_standing import differences
from laydown.services.swatch_start import PassWish
from laydown.store import shelves
from laydown.store.shelf_documents import document_of
from laydown.store.shop_exchange import load_shop

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

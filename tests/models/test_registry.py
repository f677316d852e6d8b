"""The list of models, their ranges, and the sentences where a forecast leaves them."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from heat_runs import ramp_hold_cool
from laydown.data.read import read_table
from laydown.domain.colour import Colour
from laydown.domain.ink import InkOptics
from laydown.domain.stack import Role
from laydown.models.asked import Asked
from laydown.models.cloth import describe_cloth
from laydown.models.film import LAYDOWN_MODELS, TRADE_PRESS, build_film
from laydown.models.registry import MODELS, SELDOM, out_of_range, rivals
from laydown.models.sampling import sample_set
from laydown.units import to_gsm, to_threads_per_cm
from small_shop import (
    NO_PRACTICE,
    blocking_white,
    colour,
    flashed_twice,
    garment,
    mesh,
    polyester,
    printed,
    q,
    screen,
    stack,
    white,
    with_mass,
)

SAMPLES = sample_set(40)
PAGE = (Path(__file__).parents[2] / "docs" / "models.md").read_text(encoding="utf-8")


@cache
def usual():
    """Asked about a flashed white on a red polyester jersey: all within range."""
    cloth = describe_cloth(polyester())
    return Asked(
        cloth=cloth,
        film=build_film(flashed_twice(), cloth, SAMPLES, practice=NO_PRACTICE),
        dryer=ramp_hold_cool(SAMPLES, 165.0),
        bare=ramp_hold_cool(SAMPLES, 170.0),
        flashes=(ramp_hold_cool(SAMPLES, 120.0),),
        bleeds=True,
    )


def asked(stack_=None, of=None, *, model=LAYDOWN_MODELS[0], thickened=1.0, **changes):
    cloth = describe_cloth(of or polyester())
    film = build_film(stack_ or flashed_twice(), cloth, SAMPLES, practice=NO_PRACTICE, model=model)
    return replace(usual(), cloth=cloth, film=replace(film, dry=film.dry * thickened), **changes)


def through(count, thread=80e-6, weave="plain"):
    return stack(replace(printed(), screen=screen(mesh=mesh(count=count, thread=thread, weave=weave))))


def hot(peak_c, share=1.0):
    """A passage in which that share of the samples gets so hot."""
    run, cool = ramp_hold_cool(SAMPLES, peak_c), ramp_hold_cool(SAMPLES, 160.0)
    rows = np.arange(SAMPLES.size) < share * SAMPLES.size
    places = ("surface", "interface", "back", "coolest", "cloth_hottest")
    return replace(run, **{p: np.where(rows[:, None], getattr(run, p), getattr(cool, p)) for p in places})


UNEVEN = replace(usual().film, variation=np.full(SAMPLES.size, 0.9))

BEYOND = [
    ("transfer", "mesh count", asked(through(1200.0, 300e-6)), "12 threads/cm"),
    ("trade press", "count of a plain mesh", asked(through(4250.0), model=TRADE_PRESS), "42.5 threads/cm"),
    ("trade press", "count of a twill mesh", asked(through(21000.0, 20e-6, "twill"), model=TRADE_PRESS), "210 threads"),
    ("layered Kubelka-Munk", "film of a pass as a multiple", asked(thickened=8.0), "the model covers 0.1 to 5"),
    ("layered Kubelka-Munk", "unevenness of the film", replace(usual(), film=UNEVEN), "is 0.9;"),
    ("heat", "cloth mass", asked(of=polyester(areal_mass=with_mass(450))), "450 g/m²; the model covers 90 to 380"),
    ("heat", "film surface at its hottest", replace(usual(), dryer=hot(250.0)), "255 °C; the model covers 0 to 240"),
    ("heat", "bare cloth at its hottest", replace(usual(), bare=hot(250.0)), "250 °C"),
    ("bleed", "film-cloth interface at its hottest", replace(usual(), dryer=hot(190.0)), "190 °C"),
    ("bleed", "film of a pass", asked(flashed_twice(through="24/145"), thickened=2.0), "the model covers 0 to 96 µm"),
    ("bleed", "reflectance of the cloth", asked(of=polyester("#050505")), "the model covers 1 to 100 %"),
    ("stretch", "elongation of an ink", asked(flashed_twice(white(elongation=q(9.0)))), None),
]


def test_what_is_usual_is_covered_by_every_model():
    assert out_of_range(usual()) == ()


@pytest.mark.parametrize(("model", "quantity", "case", "told"), BEYOND, ids=[f"{m}, {w}" for m, w, *_ in BEYOND])
def test_what_lies_outside_a_range_is_said_with_model_value_and_range(model, quantity, case, told):
    said = [s for s in out_of_range(case) if s.startswith(f"{model}: {quantity}")]

    if told is None:  # no ink record can leave this range
        assert said == []
    else:
        assert len(said) == 1
        assert told in said[0]


def test_every_range_is_tried_by_these_tests():
    tried = {(model, quantity) for model, quantity, *_ in BEYOND}
    for model in MODELS:
        for range_ in model.ranges:
            assert any(m == model.name and range_.quantity.startswith(w) for m, w in tried), range_.quantity


def test_a_flash_counts_as_heat_as_well():
    assert any("film surface" in s for s in out_of_range(replace(usual(), flashes=(hot(245.0),))))


def test_a_few_samples_outside_are_not_worth_a_sentence_and_more_are_counted():
    few, more = (replace(usual(), dryer=hot(190.0, share)) for share in (SELDOM, 0.3))

    assert out_of_range(few) == ()
    (said,) = out_of_range(more)
    assert "in 30 of 100 cases" in said
    assert "190 °C" in said


def test_values_outside_are_told_from_the_least_to_the_greatest():
    (said,) = (s for s in out_of_range(asked(thickened=6.0)) if "film of a pass as" in s)

    low, high = (float(v) for v in said.split(" is ")[1].split(" in ")[0].split(";")[0].split(" to "))
    assert 5 <= low < high


def test_bleed_is_not_asked_where_no_dye_migrates():
    case = replace(asked(of=garment(colour=Colour(srgb="#050505"))), bleeds=False, dryer=hot(190.0))

    assert not any(s.startswith("bleed") for s in out_of_range(case))


def test_only_the_laydown_model_that_was_used_is_asked():
    between = through(4250.0)

    assert out_of_range(asked(between)) == ()
    (said,) = out_of_range(asked(between, model=TRADE_PRESS))
    assert said.startswith("trade press: count of a plain mesh is 42.5 threads/cm")
    assert "0 to 42, 43 to 139, 140 to 200 threads/cm" in said
    assert "the transfer was taken" in said


def test_one_mesh_of_several_is_enough():
    mixed = stack(
        replace(printed(role=Role.UNDERBASE, flash=True), screen=screen(mesh=mesh(count=1200.0, thread=300e-6))),
        printed(),
    )

    assert any(s.startswith("transfer: mesh count is 12 threads/cm") for s in out_of_range(asked(mixed)))


def test_an_ink_with_spectra_has_no_drawdown_to_compare_with():
    measured = white(optics=InkOptics(colour=Colour(srgb="#ffffff"), scattering=(1e5,) * 36, absorption=(50.0,) * 36))

    assert out_of_range(asked(flashed_twice(measured), thickened=1.1)) == ()


def test_thin_colour_on_bare_cloth_is_said_to_lie_between_the_fibres():
    (said,) = out_of_range(asked(stack(printed(colour(), "120/34", Role.COLOUR)), thickened=0.3))

    assert "thinner ink lies between the fibres (assumed)" in said


# --- the list ------------------------------------------------------------------------------------------------------


def test_names_differ_and_ranks_of_rivals_count_from_one():
    assert len({m.name for m in MODELS}) == len(MODELS)
    for question in {m.answers for m in MODELS}:
        assert [m.rank for m in rivals(question)] == list(range(1, len(rivals(question)) + 1))


def test_rivals_of_the_laydown_are_those_that_a_film_can_be_built_by():
    assert tuple(m.name for m in rivals("laydown")) == LAYDOWN_MODELS
    assert rivals("the weather") == ()


def test_every_model_names_its_sources_and_an_existing_page():
    for model in MODELS:
        assert model.sources
        assert (Path(__file__).parents[2] / model.page).is_file(), model.page


def test_the_page_lists_every_model_and_range_as_they_are():
    for model in MODELS:
        assert f"| {model.name} | {model.answers} | {model.rank} |" in PAGE
        for range_ in model.ranges:
            covered = ", ".join(f"{low:g} to {high:g}" for low, high in range_.spans)
            unit = f" {range_.unit}" if range_.unit else ""
            row = f"| {model.name} | {range_.quantity} | {covered}{unit} | {range_.grounds} |"
            assert row in PAGE


def test_spans_rise_and_do_not_overlap():
    for model in MODELS:
        for range_ in model.ranges:
            ends = [end for span in range_.spans for end in span]
            assert ends == sorted(ends)
            assert all(low < high for low, high in range_.spans)


def span_of(model, quantity):
    found = next(m for m in MODELS if m.name == model)
    return next(r for r in found.ranges if r.quantity == quantity).spans


def test_mesh_counts_are_covered_as_far_as_the_shipped_table_goes():
    counts = [to_threads_per_cm(row["mesh_count"].value) for row in read_table("meshes").values()]

    ((low, high),) = span_of("transfer", "mesh count")
    assert low == pytest.approx(min(counts), abs=0.5)
    assert high == pytest.approx(max(counts), abs=1.5)


def test_cloth_is_covered_as_far_as_the_shipped_table_goes():
    masses = [row["usual_mass"] for row in read_table("cloth_structures").values()]

    ((low, high),) = span_of("heat", "cloth mass")
    assert low == pytest.approx(min(to_gsm(m.low) for m in masses))
    assert high == pytest.approx(max(to_gsm(m.high) for m in masses))


def test_three_thicknesses_average_a_colour_as_well_as_is_said():
    from laydown.physics.film_variation import thickness_factors
    from laydown.physics.optics import film_reflectance
    from laydown.physics.saunderson import measured_reflectance

    ((_, most),) = span_of("layered Kubelka-Munk", "unevenness of the film")
    for absorption, scattering in ((80.0, 97e3), (3e5, 3e4)):  # a white, a strong colour
        for thickness in (2e-6, 5e-6, 10e-6, 20e-6, 40e-6, 60e-6):
            for below in (0.0, 0.1, 0.3, 0.6):
                lightness = []
                for points in (3, 32):
                    factors, weights = thickness_factors(np.array([most]), points=points)
                    local = film_reflectance(absorption, scattering, thickness * factors[0], below)
                    seen = weights[0] @ measured_reflectance(local, k1=0.04, k2=0.5)
                    lightness.append(116 * float(seen) ** (1 / 3))
                assert abs(lightness[0] - lightness[1]) <= 0.5


def test_the_thickest_covered_film_has_cells_as_fine_as_where_the_solvers_error_was_measured():
    from laydown.physics.migration_grid import BLOCKING_CELL, CELLS_PER_REACTION_LENGTH, CLEAR_CELL, MOST

    reach = read_table("migration")["blocker"]["reaction_length"].value
    finest = min(BLOCKING_CELL, CLEAR_CELL, reach / CELLS_PER_REACTION_LENGTH)

    ((_, most),) = span_of("bleed", "film of a pass")
    assert most == pytest.approx(1e6 * MOST * finest)


def test_a_blocking_white_leaves_no_range_by_blocking():
    assert out_of_range(asked(flashed_twice(blocking_white()))) == ()

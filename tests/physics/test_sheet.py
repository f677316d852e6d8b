"""Exact diffusion solutions against Crank's, and each against another in the limit that they share."""

from __future__ import annotations

import numpy as np
import pytest

from laydown.errors import InvalidInput
from laydown.physics import sheet
from laydown.units import to_day, to_hour, to_micron
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted


def fourier(row):
    above, _, below = row["fourier"].partition("/")
    return float(above) / float(below or 1)


def meets(value, row):
    return abs(value - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.parametrize("row", reference_rows("sheet_uptake"), ids=lambda r: r["fourier"])
def test_uptake_of_a_sheet_meets_crank(row):
    assert meets(sheet.sheet_uptake(fourier(row)), row)


@pytest.mark.parametrize("row", reference_rows("sheet_uptake_time"), ids=lambda r: r["share"])
def test_time_to_a_share_of_the_uptake_meets_crank(row):
    assert meets(sheet.sheet_uptake_time(float(row["share"])), row)


@pytest.mark.parametrize("row", reference_rows("sheet_permeation"), ids=lambda r: f"{r['quantity']} {r['fourier']}")
def test_permeation_meets_crank(row):
    compute = {"amount": sheet.permeated, "flux": sheet.permeation_flux}[row["quantity"]]

    assert meets(compute(fourier(row)), row)


@pytest.mark.parametrize("row", reference_rows("midplane_step"), ids=lambda r: r["fourier"])
def test_middle_of_a_sheet_meets_crank(row):
    assert meets(sheet.midplane_step(fourier(row)), row)


@pytest.mark.parametrize("row", reference_rows("time_lag"), ids=lambda r: f"{r['quantity']} {r['unit']}")
def test_time_lag_and_steady_flux_meet_the_examples(row):
    thickness = [float(row[f"thickness{i}_um"] or 0) * 1e-6 for i in (1, 2)]
    diffusivity = [float(row[f"diffusivity{i}_cm2_s"] or 0) * 1e-4 for i in (1, 2)]
    if row["quantity"] == "flux":
        # mg/cm3 is kg/m3; a flux of 1 kg/m2/s is 100 mg/cm2/s.
        flux = sheet.two_layer_steady_flux(tuple(thickness), tuple(diffusivity), float(row["concentration"])) * 100
        value = {"mg/cm2/s": flux, "mg/cm2/d": flux * 86400}[row["unit"]]
    else:
        one = thickness[1] == 0
        lag = (
            sheet.time_lag(thickness[0], diffusivity[0])
            if one
            else sheet.two_layer_time_lag(tuple(thickness), tuple(diffusivity))
        )
        value = {"s": lag, "h": to_hour(lag), "d": to_day(lag)}[row["unit"]]

    assert meets(value, row)


@pytest.mark.parametrize("row", reference_rows("sharp_front"), ids=lambda r: r["days"])
def test_sharp_front_meets_the_example_and_breaks_through_then(row):
    d, time = float(row["diffusivity_cm2_s"]) * 1e-4, float(row["days"]) * 86400
    numbers = (d, float(row["concentration"]), float(row["capacity"]))
    depth = sheet.sharp_front_depth(time, *numbers)

    assert meets(to_micron(depth), row)
    assert sheet.sharp_front_breakthrough(float(depth), *numbers) == pytest.approx(time)


def test_sharp_front_is_the_moving_front_where_little_dye_meets_much_blocker():
    errors = []
    for capacity in (1.0, 10.0, 100.0, 1000.0):
        exact = sheet.moving_front_depth(1e6, 1e-15, 0.1, capacity)
        errors.append(sheet.sharp_front_depth(1e6, 1e-15, 0.1, capacity) / exact - 1)

    # z² = C0/2Cs (1 - C0/3Cs ...): the shortcut is too deep by a sixth of the ratio.
    assert np.array(errors) == pytest.approx(np.array([0.1, 0.01, 0.001, 0.0001]) / 6, rel=0.06)


def test_moving_front_meets_its_own_mass_balance():
    # What came in through the face equals what is bound behind the front plus what is on the way.
    d, c0, cs, time = 2e-14, 0.3, 0.5, 1e5
    front = float(sheet.moving_front_depth(time, d, c0, cs))
    z = front / (2 * np.sqrt(d * time))
    from scipy.integrate import quad
    from scipy.special import erf

    mobile = quad(lambda x: c0 * (1 - erf(x / (2 * np.sqrt(d * time))) / erf(z)), 0, front)[0]
    entered = 2 * c0 * np.sqrt(d * time / np.pi) / erf(z)

    assert mobile + cs * front == pytest.approx(entered, rel=1e-9)


@pytest.mark.parametrize(
    ("compute", "crossover"),
    [
        (sheet.sheet_uptake, sheet.CROSSOVER),
        (sheet.permeated, sheet.CROSSOVER),
        (sheet.permeation_flux, sheet.CROSSOVER),
        (sheet.midplane_step, 4 * sheet.CROSSOVER),
    ],
)
def test_both_series_agree_where_they_meet(compute, crossover):
    assert compute(np.nextafter(crossover, 0)) == pytest.approx(compute(crossover), abs=1e-12)
    assert compute(0.0) == 0.0
    assert (np.diff(compute(np.linspace(0, 1, 200))) >= 0).all()


def test_uptake_begins_with_the_square_root_of_time():
    fo = np.array([1e-6, 1e-5, 1e-4])

    assert sheet.sheet_uptake(fo) == pytest.approx(4 * np.sqrt(fo / np.pi), rel=1e-12)


def test_flux_is_the_slope_of_the_amount_and_the_lag_its_intercept():
    fo, step = np.array([0.03, 0.08, 0.3, 0.9]), 1e-5
    slope = (sheet.permeated(fo + step) - sheet.permeated(fo - step)) / (2 * step)

    assert sheet.permeation_flux(fo) == pytest.approx(slope, rel=1e-6)
    assert 5 - sheet.permeated(5.0) == pytest.approx(sheet.time_lag(1.0, 1.0))


def test_two_equal_layers_lag_like_one_and_either_order_is_the_same():
    assert sheet.two_layer_time_lag((3.0, 7.0), (2.0, 2.0)) == pytest.approx(sheet.time_lag(10.0, 2.0))
    assert sheet.two_layer_time_lag((3.0, 7.0), (2.0, 0.1)) == pytest.approx(
        sheet.two_layer_time_lag((7.0, 3.0), (0.1, 2.0))
    )


def test_a_thick_sheet_is_a_thick_body_at_first():
    length, d, time = 1e-4, 1e-14, 3000.0

    assert sheet.semi_infinite_step(0.0, time, d) == 1.0
    assert 2 * sheet.semi_infinite_step(length, time * 30, d) == pytest.approx(
        sheet.midplane_step(d * time * 30 / length**2), rel=1e-9
    )


@pytest.mark.parametrize("compute", [sheet.sheet_uptake, sheet.permeated, sheet.permeation_flux, sheet.midplane_step])
def test_negative_time_is_refused(compute):
    with pytest.raises(InvalidInput, match="fourier: must be zero or above"):
        compute(-0.1)


def test_a_sheet_never_fills_and_more_than_all_is_refused():
    with pytest.raises(InvalidInput, match="share: must be from 0 to below 1"):
        sheet.sheet_uptake_time(1.0)


def test_at_first_next_to_nothing_has_come_through_and_even_that_is_exact():
    # Before the far face matters, one image of the thick body is all there is; integrals of erfc by quadrature.
    from scipy.integrate import quad
    from scipy.special import erfc

    fo = 0.005
    z = 1 / (2 * np.sqrt(fo))
    tail = quad(erfc, z, 3 * z, epsabs=0, epsrel=1e-12)[0]

    assert sheet.permeated(fo) == pytest.approx(4 * np.sqrt(fo) * tail, rel=1e-9, abs=0)
    assert sheet.permeation_flux(fo) == pytest.approx(2 / np.sqrt(np.pi * fo) * np.exp(-(z**2)), rel=1e-9, abs=0)
    assert sheet.midplane_step(fo) == pytest.approx(2 * erfc(z), rel=1e-9, abs=0)


def test_time_to_each_share_of_a_row_is_found_and_nothing_takes_no_time():
    shares = np.array([[0.0, 0.2], [0.5, 0.97]])
    fo = sheet.sheet_uptake_time(shares)

    assert fo.shape == shares.shape
    assert fo[0, 0] < 1e-15
    assert sheet.sheet_uptake(fo.ravel()[1:]) == pytest.approx(shares.ravel()[1:], rel=1e-12)


def test_a_front_of_hardly_any_dye_lies_where_its_series_says():
    # z² = C0/2Cs (1 - C0/3Cs): for a ratio of 1e-12 the second term is nothing.
    z = sheet.moving_front_depth(1.0, 1.0, 1e-12, 1.0) / 2

    assert z == pytest.approx(np.sqrt(0.5e-12), rel=5e-8, abs=0)


def test_a_step_is_all_at_the_face_and_nothing_inside_when_it_begins():
    from scipy.special import erfc

    assert sheet.semi_infinite_step([0.0, 1.0], 0.0, 1e-14).tolist() == [1.0, 0.0]
    assert sheet.semi_infinite_step(1.0, 1.0, 1.0) == pytest.approx(erfc(0.5))


def test_in_the_end_the_middle_is_as_the_faces():
    assert sheet.midplane_step([20.0, 75.0, 1e6]) == pytest.approx(1.0, abs=1e-14)

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput, OutOfRange
from laydown.production.dryer_rate import belt_speed, chamber_rate, dryer_rate, lane_rate, lanes
from laydown.units import FOOT, HOUR, to_foot_per_minute
from production_records import dryer, garment
from reference_tables import reference_rows


def reference_value(row):
    if row["name"] == "pieces an hour":
        return HOUR * chamber_rate(float(row["pieces_in_chamber"]), float(row["dwell_s"]))
    return to_foot_per_minute(belt_speed(float(row["chamber_ft"]) * FOOT, float(row["dwell_s"])))


@pytest.mark.parametrize("row", reference_rows("dryer_rate"), ids=lambda row: row["name"])
def test_dryer_examples_of_the_trade_press_hold(row):
    assert reference_value(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@given(st.integers(1, 6), st.integers(1, 20), st.floats(10, 300))
def test_belt_and_chamber_count_the_same_pieces(side_by_side, in_a_row, dwell):
    length = in_a_row * 0.75
    by_belt = lane_rate(belt_speed(length, dwell), side_by_side * 0.6, 0.6, 0.75)

    assert by_belt == pytest.approx(chamber_rate(side_by_side * in_a_row, dwell), rel=1e-9)


def test_a_lane_takes_a_whole_garment():
    assert [lanes(width, 0.6) for width in (0.6, 1.19, 1.2, 3 * 0.6)] == [1, 1, 2, 3]


def test_a_gap_between_garments_lowers_the_rate():
    assert lane_rate(0.05, 0.9, 0.6, 0.75, gap=0.25) == pytest.approx(0.05, rel=1e-12)


def test_a_dryer_takes_the_garment_as_it_lies_on_the_belt():
    assert dryer_rate(dryer(belt_width=1.3), garment(), 0.03) == pytest.approx(2 * 0.03 / 0.75, rel=1e-12)


def test_a_garment_wider_than_the_belt_is_refused_in_millimetres():
    with pytest.raises(InvalidInput, match="takes 600 mm across the belt, which is 500 mm wide"):
        dryer_rate(dryer(belt_width=0.5), garment(), 0.03)


@pytest.mark.parametrize("speed", [0.004, 0.11, float("nan")])
def test_a_speed_that_the_dryer_cannot_run_is_out_of_range(speed):
    with pytest.raises(OutOfRange, match="belt speed"):
        dryer_rate(dryer(), garment(), speed)


@pytest.mark.parametrize("speed", [0.005, 0.1])
def test_the_ends_of_the_speed_range_are_allowed(speed):
    assert dryer_rate(dryer(), garment(), speed) == pytest.approx(speed / 0.75, rel=1e-12)


@pytest.mark.parametrize("bad", [(0.0, 60.0), (6.0, 0.0), (float("nan"), 60.0)])
def test_impossible_chambers_are_refused(bad):
    for function in (belt_speed, chamber_rate):
        with pytest.raises(InvalidInput):
            function(*bad)

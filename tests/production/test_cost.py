import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.errors import InvalidInput
from laydown.production.cost import TERMS, expected_cost, print_cost, whole_order
from laydown.production.run_time import run_time, set_up_time
from laydown.units import HOUR, from_minute
from production_records import WHITE_AND_RED_PLACED, costs, order, press, produced
from reference_tables import reference_rows

RATES = costs(
    labour_rate=18.0,
    press_rate=25.0,
    dryer_rate=8.0,
    screen_cost=6.0,
    screen_time=900.0,
    ink_waste=0.1,
    spoilage=0.03,
    reprint_factor=1.5,
    margin=0.4,
)


def cost(rates=RATES, **changes):
    given_ = {
        "quantity": 100,
        "blank_price": 4.0,
        "ink": 12.0,
        "burned": 2,
        "set_up_time": 1200.0,
        "run_time": 3600.0,
        "crew": 2,
    }
    return expected_cost(costs=rates, **(given_ | changes))


@pytest.mark.parametrize("row", reference_rows("order_cost"), ids=lambda row: row["quantity"])
def test_the_published_case_study_comes_out(row):
    quantity = int(row["quantity"])
    result = expected_cost(
        costs=costs(press_rate=float(row["rate_per_hour"])),
        quantity=quantity,
        blank_price=0.0,
        ink=0.0,
        burned=int(row["screens"]),
        set_up_time=set_up_time(int(row["screens"]), from_minute(float(row["minutes_per_screen"]))),
        run_time=run_time(quantity, float(row["pieces_per_hour"]) / HOUR),
        crew=1,
    )

    assert result.piece == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_every_term_is_what_its_name_says():
    result = cost(tests=15.0, fail_risk=0.04)
    making = 400.0 + 12.0 + 21.0 + 1200 / 3600 * 61.0 + 69.0 + 0.03 * (400.0 + 12.0 + 69.0)

    assert dict(result.terms) == pytest.approx(
        {
            "blanks": 400.0,
            "ink": 12.0,
            "screens": 2 * (6.0 + 0.25 * 18.0),
            "set-up": 1200 / 3600 * (2 * 18.0 + 25.0),
            "run": 2 * 18.0 + 25.0 + 8.0,
            "spoilage": 0.03 * (400.0 + 12.0 + 69.0),
            "tests": 15.0,
            "expected reprint": 0.04 * 1.5 * making,
        },
        rel=1e-12,
    )
    assert tuple(name for name, _ in result.terms) == TERMS
    assert result.price == pytest.approx(result.order / 0.6, rel=1e-12)


@given(
    quantity=st.integers(1, 100_000),
    ink=st.floats(0, 1e4),
    run=st.floats(0, 1e6),
    risk=st.floats(0, 1),
    tests=st.floats(0, 500),
)
def test_terms_add_up_to_the_order_and_are_never_negative(quantity, ink, run, risk, tests):
    result = cost(quantity=quantity, ink=ink, run_time=run, fail_risk=risk, tests=tests)

    assert math.fsum(value for _, value in result.terms) == pytest.approx(result.order, rel=1e-12)
    assert result.piece * quantity == pytest.approx(result.order, rel=1e-12)
    assert min(value for _, value in result.terms) >= 0


@given(st.floats(0, 1), st.floats(0, 1))
def test_a_greater_risk_never_costs_less(one, other):
    low, high = sorted((one, other))

    assert cost(fail_risk=low).order <= cost(fail_risk=high).order


def test_a_second_print_buys_no_blanks_but_its_spoiled_pieces_cost_a_garment():
    first, second = dict(cost().terms), dict(cost(buys_blanks=False).terms)

    assert second["blanks"] == 0
    assert second["spoilage"] == first["spoilage"]


def test_the_cost_of_a_print_comes_from_its_production_without_counting_spoilage_twice():
    production, machine = produced(RATES), press()
    result = dict(
        print_cost(order(), production, WHITE_AND_RED_PLACED, machine, RATES, fail_risk=0.02, tests=5.0).terms
    )

    assert result["run"] == pytest.approx(100 / production.rate / HOUR * (2 * 18.0 + 25.0 + 8.0), rel=1e-12)
    assert result["ink"] * 1.03 == pytest.approx(sum(a.cost for a in production.inks), rel=1e-12)
    assert result["spoilage"] == pytest.approx(0.03 * (400.0 + result["ink"] + result["run"]), rel=1e-12)
    assert result["screens"] == pytest.approx(2 * (6.0 + 0.25 * 18.0), rel=1e-12)
    assert result["set-up"] == pytest.approx(2 * 540.0 / HOUR * (2 * 18.0 + 25.0), rel=1e-12)


def test_one_print_is_the_whole_order():
    one = cost(fail_risk=0.04, tests=5.0)
    whole = whole_order((one,), (0.04,), 100, RATES)

    assert dict(whole.terms) == pytest.approx(dict(one.terms), rel=1e-12)
    assert (whole.order, whole.piece, whole.price) == pytest.approx((one.order, one.piece, one.price), rel=1e-12)


def test_when_one_of_two_prints_fails_both_are_made_again():
    front, back = cost(fail_risk=0.1, tests=5.0), cost(fail_risk=0.2, buys_blanks=False)
    whole = whole_order((front, back), (0.1, 0.2), 100, RATES)
    making = sum(v for part in (front, back) for n, v in part.terms if n not in {"tests", "expected reprint"})

    assert dict(whole.terms)["expected reprint"] == pytest.approx((1 - 0.9 * 0.8) * 1.5 * making, rel=1e-12)
    assert whole.order > front.order + back.order


def test_a_whole_order_needs_one_risk_for_each_print():
    for parts, risks in (((), ()), ((cost(),), (0.1, 0.1))):
        with pytest.raises(InvalidInput, match="each print needs one risk"):
            whole_order(parts, risks, 100, RATES)


@pytest.mark.parametrize(
    "bad", [{"quantity": 0}, {"fail_risk": 1.1}, {"ink": -1.0}, {"run_time": float("nan")}, {"crew": 0}]
)
def test_impossible_inputs_are_refused(bad):
    with pytest.raises(InvalidInput):
        cost(**bad)

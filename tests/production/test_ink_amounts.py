import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.domain.ink import InkKind
from laydown.domain.order import InkUse, Print
from laydown.errors import InvalidInput
from laydown.production.ink_use import ink_amounts, mixture_density
from laydown.units import POUND, US_GALLON, to_gram
from production_records import colour_pass, exactly, ink, smoothing_pass, stack, white_pass
from reference_tables import reference_rows

FRONT = Print(place="front", width=0.30, height=0.35, inks=(InkUse(ink="white", coverage=1.0),))


def amounts(printed, wet, **changes):
    return ink_amounts(printed, FRONT, wet, **({"quantity": 100, "waste": 0.0, "spoilage": 0.0} | changes))


def reference_value(row):
    gallon = float(row["pounds_per_gallon"]) * POUND
    if row["name"] == "grams of a gallon":
        return to_gram(gallon)
    if row["name"] == "density":
        return gallon / US_GALLON
    if row["name"] == "prints of a gallon":
        return to_gram(gallon) / float(row["grams_per_print"])
    bought = ink(density=exactly(gallon / US_GALLON), price=float(row["price_per_gallon"]) / gallon)
    wet = float(row["grams_per_print"]) * 1e-3 / (0.105 * bought.density.value)
    (amount,) = amounts(stack(white_pass(ink=bought)), (wet,), quantity=1)
    return amount.cost


@pytest.mark.parametrize("row", reference_rows("ink_use"), ids=lambda row: f"{row['name']} {row['place']}")
def test_ink_use_agrees_with_published_examples(row):
    assert reference_value(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_waste_and_spoilage_come_on_top_of_what_stands_on_the_pieces():
    (amount,) = amounts(stack(white_pass(coverage=0.5)), (50e-6,), waste=0.10, spoilage=0.03)

    assert amount.per_piece == pytest.approx(0.5 * 0.105 * 50e-6 * 1300, rel=1e-12)
    assert amount.total == pytest.approx(100 * 1.03 * amount.per_piece / (1 - 0.10), rel=1e-12)
    assert amount.cost == pytest.approx(20.0 * amount.total, rel=1e-12)


def test_a_smoothing_pass_takes_no_ink():
    result = amounts(stack(white_pass(flash_after=True), smoothing_pass(), colour_pass("red")), (50e-6, 20e-6))

    assert [(a.ink, a.role) for a in result] == [("white", "white"), ("red", "colour")]


def test_an_additive_is_weighed_out_on_its_own_line():
    additive = ink("stretch", InkKind.STRETCH_ADDITIVE, density=exactly(1000.0), price=50.0)
    white, stirred = amounts(stack(white_pass(additive=additive, additive_share=0.2)), (50e-6,), quantity=1)

    assert (stirred.ink, stirred.role) == ("stretch", "stretch additive")
    assert stirred.total / (white.total + stirred.total) == pytest.approx(0.2, rel=1e-12)
    # Volumes add up, so the two fill the printed volume together.
    assert white.total / 1300 + stirred.total / 1000 == pytest.approx(0.105 * 50e-6, rel=1e-12)
    assert stirred.cost == pytest.approx(50.0 * stirred.total, rel=1e-12)


@given(st.floats(600, 2500), st.floats(600, 2500), st.floats(0, 1))
def test_a_mixture_is_no_denser_and_no_lighter_than_its_parts(one, other, part):
    low, high = sorted((one, other))

    assert low * (1 - 1e-12) <= mixture_density(one, other, part) <= high * (1 + 1e-12)


def test_each_inked_pass_needs_its_laydown():
    with pytest.raises(InvalidInput, match="2 wet laydowns are given, but 1 passes lay ink"):
        amounts(stack(white_pass(flash_after=True), smoothing_pass()), (50e-6, 0.0))


@pytest.mark.parametrize("bad", [{"waste": -0.1}, {"waste": 0.96}, {"spoilage": 1.5}, {"quantity": 0}])
def test_shares_and_quantity_are_checked(bad):
    with pytest.raises(InvalidInput):
        amounts(stack(white_pass()), (50e-6,), **bad)


@pytest.mark.parametrize("wet", [-1e-6, float("nan"), 3e-3])
def test_a_laydown_that_no_screen_leaves_is_refused(wet):
    with pytest.raises(InvalidInput, match="wet laydown is"):
        amounts(stack(white_pass()), (wet,))

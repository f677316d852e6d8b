import pytest

from laydown.domain.ink import InkKind
from laydown.domain.stack import Role
from laydown.production.placement import plate_numbers, same_plate
from production_records import colour_pass, ink, screen, smoothing_pass, white_pass


def test_underbase_and_white_of_one_area_share_a_plate():
    assert same_plate(white_pass(Role.UNDERBASE, flash_after=True), white_pass(Role.WHITE, hits=2))


@pytest.mark.parametrize(
    "other",
    [
        white_pass(ink=ink("other white")),
        white_pass(screen=screen("61/64")),
        white_pass(coverage=0.5),
        white_pass(additive=ink("stretch", InkKind.STRETCH_ADDITIVE), additive_share=0.1),
        white_pass(Role.HIGHLIGHT),
        smoothing_pass(),
    ],
    ids=["ink", "screen", "area", "mixture", "highlight", "smoothing"],
)
def test_a_plate_is_not_shared_when_anything_in_it_differs(other):
    assert not same_plate(white_pass(), other)
    assert not same_plate(other, white_pass())


def test_plates_are_numbered_in_order_of_first_use():
    passes = (white_pass(flash_after=True), colour_pass("red"), white_pass(), smoothing_pass(), colour_pass("blue"))

    assert plate_numbers(passes) == (0, 1, 0, 2, 3)

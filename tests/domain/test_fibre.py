import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from laydown.domain.fibre import FIBRES, FibreContent
from laydown.errors import InvalidInput


def test_a_fibre_that_is_not_in_the_cloth_has_no_share():
    content = FibreContent(shares=(("cotton", 0.5), ("polyester", 0.5)))

    assert content.share("polyester") == 0.5
    assert content.share("wool") == 0.0
    assert content.names == ("cotton", "polyester")


def test_asking_for_a_fibre_that_does_not_exist_is_an_error():
    with pytest.raises(InvalidInput, match="'coton' is no generic fibre name; known are cotton"):
        FibreContent(shares=(("cotton", 1.0),)).share("coton")


def test_content_reads_as_a_label_does():
    assert str(FibreContent(shares=(("nylon", 0.92), ("elastane", 0.08)))) == "92 % nylon, 8 % elastane"


@pytest.mark.parametrize(
    ("shares", "sentence"),
    [
        ((), "at least one fibre"),
        ((("unobtainium", 1.0),), "'unobtainium' is no generic fibre name"),
        ((("cotton", 0.5), ("cotton", 0.5)), "cotton stands twice"),
        ((("cotton", 1.0), ("wool", 0.0)), "share of wool is 0 %; it must be above 0 %"),
        ((("cotton", -0.2), ("wool", 1.2)), "share of cotton is -20 %"),
        ((("cotton", math.nan),), "share of cotton is nan %"),
        ((("cotton", math.inf),), "share of cotton is inf %"),
        ((("cotton", 0.6), ("wool", 0.3)), "add up to 90 %; they must add up to 100 % within 0.5 %"),
        ((("cotton", 0.6), ("wool", 0.5)), "add up to 110 %"),
    ],
)
def test_a_content_that_cannot_be_is_refused_in_one_sentence(shares, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        FibreContent(shares=shares)


@given(
    st.lists(st.sampled_from(FIBRES), min_size=1, max_size=5, unique=True),
    st.lists(st.floats(1e-3, 1.0), min_size=5, max_size=5),
    st.floats(0.95, 1.05),
)
def test_shares_pass_exactly_when_they_add_up_within_half_a_per_cent(names, weights, total):
    scale = total / math.fsum(weights[: len(names)])
    shares = tuple((name, weight * scale) for name, weight in zip(names, weights, strict=False))
    assume(abs(abs(total - 1) - 0.005) > 1e-6)

    if abs(total - 1) < 0.005:
        assert math.fsum(FibreContent(shares=shares).share(name) for name in names) == pytest.approx(total)
    else:
        with pytest.raises(InvalidInput, match="add up to"):
            FibreContent(shares=shares)


def test_three_thirds_as_labels_round_them_and_the_very_edge_pass():
    FibreContent(shares=(("polyester", 0.333), ("cotton", 0.333), ("viscose", 0.333)))
    FibreContent(shares=(("cotton", 0.6), ("polyester", 0.395)))

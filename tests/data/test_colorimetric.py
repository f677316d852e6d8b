import numpy as np
import pytest

from laydown.data.colorimetric import CONDITIONS, tristimulus_weights, white_point
from laydown.errors import InvalidInput
from reference_tables import reference_rows

pytestmark = pytest.mark.interpreted

NAMES = [name for name, _ in CONDITIONS]


@pytest.mark.parametrize("row", reference_rows("white_points"), ids=lambda row: f"{row['condition']} {row['axis']}")
def test_the_white_points_are_those_of_the_standard(row):
    value = white_point(row["condition"])["XYZ".index(row["axis"])]
    assert value == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("name", NAMES)
def test_weights_cover_380_to_730_nm_and_cannot_be_changed(name):
    weights = tristimulus_weights(name)

    assert weights.shape == (36, 3)
    assert weights[:, 1].sum() == pytest.approx(100, abs=1e-7)
    # Y is made of green and yellow light: its weight peaks between 550 and 570 nm.
    assert np.argmax(weights[:, 1]) in {17, 18, 19}
    with pytest.raises(ValueError, match="read-only"):
        weights[0, 0] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        white_point(name)[0] = 1.0


def test_weights_are_read_once():
    assert tristimulus_weights("D65/10") is tristimulus_weights("D65/10")


@pytest.mark.parametrize("ask", [tristimulus_weights, white_point])
def test_an_unknown_condition_is_refused_with_the_names_there_are(ask):
    with pytest.raises(InvalidInput, match="'D75/2'; there are: D65/10, D50/2, D65/2, A/10"):
        ask("D75/2")

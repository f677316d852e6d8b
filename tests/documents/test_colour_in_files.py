"""Colours in files: their three forms, files of spectra, and colours that no surface can have."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from laydown.data.colorimetric import tristimulus_weights
from laydown.documents.colour_value import read_spectrum, refuse_impossible
from laydown.domain.colour import Colour
from laydown.errors import InvalidInput
from laydown.physics.colorimetry import xyz_to_lab

BANDS = range(380, 740, 10)
FLAT = "".join(f"{nm},0.5\n" for nm in BANDS)


def spectrum(tmp_path, text):
    path = tmp_path / "red.csv"
    path.write_text(text, encoding="utf-8")
    return read_spectrum(path)


def test_a_file_of_36_bands_is_a_colour_in_any_order_with_or_without_a_head(tmp_path):
    lines = [f"{nm},{nm / 1000}" for nm in BANDS]
    expected = tuple(nm / 1000 for nm in BANDS)

    assert spectrum(tmp_path, "\n".join(lines)).spectrum == expected
    assert spectrum(tmp_path, "# a sheet\nnm,reflectance\n\n" + "\n".join(reversed(lines))).spectrum == expected


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", r"red.csv: 36 of the 36 bands \(380 to 730 nm in 10 nm steps\) are missing, the first is 380 nm"),
        (FLAT.replace("500,0.5\n", ""), "red.csv: 1 of the 36 bands .* are missing, the first is 500 nm"),
        (FLAT + "740,0.5\n", "red.csv, line 37: 740 nm is no band; the bands are 380 to 730 nm in 10 nm steps"),
        (FLAT + "500,0.5\n", "red.csv, line 37: 500 nm stands twice"),
        (FLAT.replace("390,0.5", "390,50"), "red.csv, line 2: the reflectance is 50; allowed is 0 to 1"),
        (FLAT.replace("390,0.5", "390,-0.1"), "red.csv, line 2: the reflectance is -0.1; allowed is 0 to 1"),
        (FLAT.replace("390,0.5", "390,nan"), "red.csv, line 2: a line holds two finite numbers"),
        (FLAT.replace("390,0.5", "390,0.5,1"), "red.csv, line 2: a line holds two finite numbers"),
        (FLAT.replace("390,0.5", "390,half"), "red.csv, line 2: a line holds two numbers"),
        (FLAT.replace("390,0.5", '"390'), "red.csv, line 2: a line holds two finite numbers"),
    ],
)
def test_a_file_that_is_no_spectrum_says_which_line_and_why(tmp_path, text, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        spectrum(tmp_path, text)


@settings(max_examples=40, deadline=None)
@given(bands=st.lists(st.floats(0.02, 0.98), min_size=36, max_size=36), condition=st.sampled_from(["D65/10", "D50/2"]))
def test_the_colour_of_any_reflectance_is_a_surface_colour(bands, condition):
    weights = tristimulus_weights(condition)
    lab = xyz_to_lab(np.array(bands) @ weights, weights.sum(axis=0))

    refuse_impossible(Colour(lab=(float(lab[0]), float(lab[1]), float(lab[2])), lab_condition=condition))


@pytest.mark.parametrize("lab", [(97.0, 60.0, 0.0), (99.0, 0.0, 60.0), (10.0, -60.0, 40.0), (0.0, 20.0, 0.0)])
def test_a_colour_that_takes_more_than_all_light_is_refused(lab):
    with pytest.raises(InvalidInput, match="is a colour that no surface can have; allowed is what some reflectance"):
        refuse_impossible(Colour(lab=lab))

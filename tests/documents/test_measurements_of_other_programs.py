"""Files of readings that other programs wrote (tests/documents/readings/README.md) are understood."""

import csv
import datetime as dt
from pathlib import Path

import numpy as np
import pytest

from laydown.documents.measurement_import import read_measurements
from laydown.domain.measurement import Backing, Geometry, MeasurementMode
from laydown.models.comparability import labs_to_compare
from laydown.models.measured_colour import lab_under

READINGS = Path(__file__).parent / "readings"
NAMES = ["white film", "navy cloth", "red ink", "grey step", "yellow ink"]


def read(name):
    return read_measurements(name, (READINGS / name).read_bytes())


def factors(measurement):
    return np.array(measurement.spectrum.values)


@pytest.fixture(scope="module")
def curves():
    with (READINGS / "by_wavelength.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file, delimiter=";"))[1:]
    return np.array([[float(cell.replace(",", ".")) / 100 for cell in row[1:]] for row in rows]).T


def test_spectra_in_per_cent_and_as_shares_of_one_are_the_same(curves):
    by_step_5 = read("by_wavelength.csv")
    assert [one.name for one in by_step_5.measurements] == NAMES
    for name in ("spectra.ti3", "spectral_nm.txt", "with_d65_10.ti3"):
        file = read(name)

        assert [one.name.replace("_", " ") for one in file.measurements] == NAMES
        for place, one in enumerate(file.measurements):
            assert (one.spectrum.start_nm, one.spectrum.step_nm) == (380, 10)
            np.testing.assert_allclose(factors(one), curves[place][::2], atol=1.01e-6)
            np.testing.assert_allclose(factors(by_step_5.measurements[place]), curves[place], atol=1e-12)


def test_tristimulus_values_become_lab_under_the_white_that_the_file_gives():
    # The program integrates at 1 nm; its own colours and ours of its own spectra must agree.
    for name, condition in (("with_d65_10.ti3", "D65/10"), ("lab_a_10.ti3", "A/10"), ("lab_d50_2.ti3", "D50/2")):
        file = read(name)
        spectra = read("spectra.ti3")

        assert {one.condition for one in file.conditions} == {condition}
        for read_, spectral in zip(file.measurements, spectra.measurements, strict=True):
            np.testing.assert_allclose(read_.lab, lab_under(spectral, condition).lab, atol=0.12)


def test_lab_against_another_white_than_that_of_its_illuminant_is_left_out_and_told():
    file = read("with_d65_10.ti3")

    left = dict(file.understood.columns_left_out)
    assert left["LAB_L"] == "against the white of D50, not of its illuminant"
    assert ("XYZ_Y", "Y") in file.understood.columns_used
    assert any("taken as D65/10, whose white the file gives" in sentence for sentence in file.understood.warnings)


def test_a_cxf_file_gives_spectra_colours_conditions_and_moments(curves):
    file = read("written.cxf")

    assert [one.name for one in file.measurements] == ["white film", "white film", *NAMES[1:]]
    first, second = file.measurements[:2]
    assert first.conditions.condition == "D50/2"
    assert first.conditions.mode is MeasurementMode.M1
    assert first.conditions.geometry is Geometry.G45_0
    assert first.conditions.backing is Backing.WHITE
    assert first.conditions.instrument == "Bench Forty-Five"
    assert first.taken_at == dt.datetime(2026, 11, 21, 10, 0, tzinfo=dt.timezone(dt.timedelta(hours=1)))
    assert second.conditions.mode is MeasurementMode.M2
    assert second.lab is None
    np.testing.assert_allclose(factors(second), 0.99 * factors(first), atol=1e-6)
    for place, one in enumerate([first, *file.measurements[2:]]):
        np.testing.assert_allclose(factors(one), curves[place][::2], atol=1.01e-6)
        np.testing.assert_allclose(one.lab, lab_under(one, "D50/2").lab, atol=0.03)


def test_readings_of_two_files_are_compared_with_the_warnings_that_are_due():
    one, other = read("written.cxf").measurements[2], read("spectra.ti3").measurements[1]

    labs, warnings = labs_to_compare([one, other], "D65/10")

    np.testing.assert_allclose(labs[0], labs[1], atol=0.01)
    assert [sentence.split(": ")[1].split()[0] for sentence in warnings] == [
        "measurement", "geometry", "backing", "instrument"
    ]  # fmt: skip


def test_the_preview_says_what_was_understood_line_by_line():
    lines = read("spectra.ti3").lines

    assert lines[:3] == (
        "spectra.ti3: CGATS, CTI3, 1 table, utf-8",
        "5 readings, 0 with L*, a*, b*, 5 with a spectrum",
        "spectra from 380 to 730 nm, step 10 nm",
    )
    assert lines[3].startswith("read under: illuminant not said, observer not said, measurement condition unknown")
    assert lines[3].endswith("instrument bench instrument")
    assert "used: SPEC_380 to SPEC_730 as reflectance at 380 to 730 nm, 36 bands" in lines
    assert "left out: RGB_R (a colour to be printed or shown, not a reading)" in lines

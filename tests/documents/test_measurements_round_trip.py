"""Readings written by small writers of their own come back equal, in every form."""

import dataclasses

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from measurement_strategies import readings
from measurement_writers import cgats, cxf, standing, table

from laydown.documents.measurement_file import Asked
from laydown.documents.measurement_import import read_measurements

SOME = settings(max_examples=60)


def same(found, wanted, *, without=()):
    """Whether readings are equal but for their place in the file, and for what a form cannot say."""
    forgotten = dict.fromkeys((*without, "line", "spectrum")) | {"file": ""}

    def bare(reading):
        # A record cannot be without both.
        lab = reading.lab or ((0.0, 0.0, 0.0) if reading.spectrum else None)
        return dataclasses.replace(reading, **forgotten, lab=lab)

    assert len(found) == len(wanted)
    for one, other in zip(found, wanted, strict=True):
        assert bare(one) == bare(other)
        assert (one.spectrum is None) == (other.spectrum is None)
        if other.spectrum is not None:
            assert (one.spectrum.start_nm, one.spectrum.step_nm) == (other.spectrum.start_nm, other.spectrum.step_nm)
            assert one.spectrum.values == pytest.approx(other.spectrum.values, abs=1e-12)


@SOME
@given(
    readings(),
    st.sampled_from(["SPECTRAL_NM{}", "SPECTRAL_NM_{}", "SPECTRAL_{}", "NM_{}", "nm{}", "SPEC_{}", "R_{}"]),
    st.booleans(),
    st.sampled_from(["\n", "\r\n", "\r"]),
    st.booleans(),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-32"]),
)
def test_cgats_comes_back(wanted, form, percent, eol, quote, coding):
    text = cgats(wanted, form=form, percent=percent, eol=eol, quote=quote)
    scale = "percent" if percent else None

    file = read_measurements("a.txt", text.encode(coding), asked=Asked(scale=scale))

    assert file.understood.kind == "CGATS"
    same(file.measurements, wanted, without=["taken_at"])


@SOME
@given(readings(colour=False, spectral=True), st.sampled_from(["SPECTRAL_{}{}", "SPECTRAL_{}_{}"]), st.booleans())
def test_cgats_headings_that_say_factor_or_per_cent_are_believed(wanted, form, percent):
    spectra = [one.spectrum for one in wanted]
    # So dark that the numbers themselves do not tell.
    spectra = [dataclasses.replace(one, values=tuple(value / 200 for value in one.values)) for one in spectra]
    dark = [dataclasses.replace(one, spectrum=spectrum) for one, spectrum in zip(wanted, spectra, strict=True)]
    text = cgats(dark, form=form.format("PCT" if percent else "DEC", "{}"), percent=percent, eol="\n", quote=False)

    same(read_measurements("a.txt", text.encode()).measurements, dark, without=["taken_at"])


@SOME
@given(readings(), st.sampled_from(["", "cc", "ns0"]), st.sampled_from(["utf-8", "utf-16"]))
def test_cxf_comes_back(wanted, prefix, coding):
    file = read_measurements("a.cxf", cxf(wanted, prefix=prefix).encode(coding))

    assert file.understood.kind == "CxF"
    same(file.measurements, wanted)


@SOME
@given(
    readings(),
    st.sampled_from([(";", True), (";", False), ("\t", True), ("\t", False), ("|", True), (",", False)]),
    st.booleans(),
    st.sampled_from(["{}", "{} nm", "R{}", "{}nm", "SPECTRAL_{}"]),
    st.sampled_from([("L*", "a*", "b*"), ("L", "a", "b"), ("CIE L*", "CIE a*", "CIE b*"), ("LAB_L", "LAB_A", "LAB_B")]),
    st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]),
)
def test_csv_comes_back(wanted, parted, percent, band, marks, coding):
    delimiter, comma = parted
    text = table(wanted, delimiter=delimiter, comma=comma, percent=percent, band=band, marks=marks)

    file = read_measurements("a.csv", text.encode(coding), asked=Asked(scale="percent" if percent else None))

    assert file.understood.kind == "CSV"
    same(file.measurements, wanted)


@SOME
@given(readings(colour=False, spectral=True), st.sampled_from([(";", True), ("\t", False), (",", False)]))
def test_csv_of_one_row_a_wavelength_comes_back(wanted, parted):
    bare = [dataclasses.replace(one, conditions=type(one.conditions)(), taken_at=None) for one in wanted]

    file = read_measurements("a.csv", standing(bare, delimiter=parted[0], comma=parted[1]).encode())

    same(file.measurements, bare)

"""Measurements of a CxF/X file (ISO 17972): objects with colour values that refer to specifications.

The names of elements and their nesting were read in a schema binding that another library ships; grade: published.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from laydown.documents.cxf_specification import Specification, specification_of
from laydown.documents.cxf_xml import Element, cxf_tree
from laydown.documents.measurement_file import MOST_READINGS, Asked, MeasurementFile, Part, file_of_parts
from laydown.documents.measurement_text import moment, number, one_line
from laydown.documents.measurement_values import checked, lab_of_lch, lab_of_xyz, percent_of
from laydown.documents.measurement_words import conditions_from
from laydown.documents.sentences import shown_value
from laydown.domain.measurement import LONGEST_NAME, ColourMeasurement, Spectrum
from laydown.errors import InvalidInput

USUAL_STEP_NM = 10.0
MOST_BANDS = 2000

COLOURS: tuple[tuple[str, tuple[str, str, str]], ...] = (
    ("ColorCIELab", ("L", "A", "B")),
    ("ColorCIELCh", ("L", "C", "H")),
    ("ColorCIEXYZ", ("X", "Y", "Z")),
)
"""Elements of a colour that are read, the better first, and the elements of their numbers."""

UNUSED = (
    ("TransmittanceSpectrum", "light that goes through, not a surface"),
    ("EmissiveSpectrum", "a light, not a surface"),
    ("ColorEmissiveCIEXYZ", "a light, not a surface"),
    ("ColorEmissiveCIExyY", "a light, not a surface"),
    ("ColorDensity", "a density; L*, a*, b* or a spectrum is needed"),
)
"""Elements that are known and not read, with the reason; all others are colours to be shown or printed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Value:
    """One spectrum or colour of an object, as it stands."""

    element: Element
    specification: str
    taken_at: str


def read_cxf(content: bytes, asked: Asked, *, name: str) -> MeasurementFile:
    """Measurements of a CxF file.

    Raises
    ------
    InvalidInput
        As `cxf_tree`; or an object's values are not numbers, lie outside what a surface can have or refer to a
        specification that is not there.
    """
    root = cxf_tree(content, where=name)
    specifications = {
        one.attributes.get("Id", ""): specification_of(one, where=f"{name}, line {one.line}")
        for collection in ("ColorSpecificationCollection", "ColourSpecificationCollection")
        for group in [root.first("Resources", collection)]
        if group
        for one in group.all("ColorSpecification")
    }
    collection = root.first("Resources", "ObjectCollection")
    objects = list(collection.all("Object")) if collection else []
    if not objects:
        raise InvalidInput("the file has no Resources/ObjectCollection/Object, so it holds no readings", where=name)
    if len(objects) > MOST_READINGS:
        raise InvalidInput(f"the file has {len(objects):,} objects; allowed are up to {MOST_READINGS:,}", where=name)
    in_percent, told = percent_of(_all_values(objects), stated=None, asked=asked.scale, where=name)
    warnings: list[str] = list(told)
    measurements: list[ColourMeasurement] = []
    skipped: list[str] = []
    for one in objects:
        sample = one_line(one.attributes.get("Name") or one.attributes.get("Id") or f"line {one.line}")[:LONGEST_NAME]
        try:
            measurements += _object(one, sample, specifications, asked, warnings, in_percent=in_percent, file=name)
        except InvalidInput as error:
            bad = InvalidInput(error.what, where=f"{name}, line {one.line}, Object {sample}")
            if not asked.skip_bad:
                raise bad from None
            skipped.append(str(bad))
    used, left_out = _told(objects)
    part = Part(
        measurements=tuple(measurements),
        columns_used=used,
        columns_left_out=left_out,
        warnings=tuple(dict.fromkeys(warnings)),
        skipped=tuple(skipped),
    )
    shape = f"{len(objects)} objects, {len(specifications)} specifications"
    return file_of_parts(name, "CxF", shape, (part,))


def _values(one: Element, name: str) -> Iterator[_Value]:
    created = one.said("CreationDate")
    for values in one.all("ColorValues"):
        for element in values.all(name):
            yield _Value(
                element=element,
                specification=element.attributes.get("ColorSpecification", ""),
                taken_at=element.attributes.get("MeasureDate", "") or created,
            )


def _all_values(objects: list[Element]) -> Iterator[tuple[float, float]]:
    """Every reflectance with its wavelength, those beyond the glow of whiteners as the last third of a spectrum."""
    for one in objects:
        for value in _values(one, "ReflectanceSpectrum"):
            cells = value.element.text.split()
            for place, cell in enumerate(cells):
                try:
                    yield (600.0 if 3 * place > 2 * len(cells) else 450.0), number(cell, what="")
                except InvalidInput:
                    # The object that it belongs to says so in its turn.
                    continue


def _object(
    one: Element,
    sample: str,
    specifications: Mapping[str, Specification],
    asked: Asked,
    warnings: list[str],
    *,
    in_percent: bool,
    file: str,
) -> Iterator[ColourMeasurement]:
    """Readings of an object: a colour joins the only spectrum of its specification, every other one stands alone."""
    spectra = list(_values(one, "ReflectanceSpectrum"))
    colours = [(value, name, marks) for name, marks in COLOURS for value in _values(one, name)]
    # Of several forms of one colour the best is taken.
    best: dict[str, list[tuple[_Value, str, tuple[str, str, str]]]] = {}
    for value, name, marks in colours:
        group = best.setdefault(value.specification, [])
        if not group or group[0][1] == name:
            group.append((value, name, marks))
    repeated = Counter(value.specification for value in spectra)
    found: list[ColourMeasurement] = []
    for value in spectra:
        partner = best.get(value.specification, [])
        alone = repeated[value.specification] == 1 and len(partner) == 1
        colour = best.pop(value.specification)[0] if alone else None
        found += _reading(sample, value, colour, specifications, asked, warnings, in_percent=in_percent, file=file)
    for group in best.values():
        for colour in group:
            found += _reading(sample, None, colour, specifications, asked, warnings, in_percent=in_percent, file=file)
    return iter(found)


def _reading(
    sample: str,
    spectral: _Value | None,
    colour: tuple[_Value, str, tuple[str, str, str]] | None,
    specifications: Mapping[str, Specification],
    asked: Asked,
    warnings: list[str],
    *,
    in_percent: bool,
    file: str,
) -> Iterator[ColourMeasurement]:
    value = spectral or (colour[0] if colour else None)
    if value is None:
        return
    if value.specification and value.specification not in specifications:
        if specifications:
            raise InvalidInput(
                f"{value.element.name} refers to the specification {shown_value(value.specification)}, which is not "
                f"there; there are {', '.join(map(repr, list(specifications)[:8]))}"
            )
        warnings.append("the file refers to specifications and holds none, so the conditions are not known")
    specification = specifications.get(value.specification, Specification(said={}))
    if specification.light:
        warnings.append(f"values under {value.specification} are left out: they are of a light, not of a surface")
        return
    conditions = conditions_from(specification.said, asked.assumed)
    spectrum = _spectrum(spectral, specification, warnings, in_percent=in_percent) if spectral else None
    lab = None
    if colour:
        element, name, marks = colour[0].element, colour[1], colour[2]
        one, two, three = (number(element.said(mark), what=f"{name}/{mark}") for mark in marks)
        if name == "ColorCIELab":
            lab = one, two, three
        elif name == "ColorCIELCh":
            lab = lab_of_lch(one, two, math.radians(three))
        else:
            lab = lab_of_xyz((one, two, three), conditions, asked.white, warnings, needed=spectrum is None)
        if not conditions.condition:
            warnings.append("nobody said illuminant and observer of L*, a*, b*")
    yield checked(
        ColourMeasurement(
            name=sample,
            lab=lab,
            spectrum=spectrum,
            conditions=conditions,
            taken_at=_moment(value.taken_at, asked, warnings),
            file=file,
            line=value.element.line,
        ),
        warnings,
    )


def _spectrum(value: _Value, specification: Specification, warnings: list[str], *, in_percent: bool) -> Spectrum:
    cells = value.element.text.split()
    if len(cells) > MOST_BANDS:
        raise InvalidInput(f"a spectrum has {len(cells)} values; allowed are up to {MOST_BANDS}")
    told = value.element.attributes.get("StartWL")
    start = number(told, what="StartWL") if told is not None else specification.start_nm
    if start is None:
        raise InvalidInput("nobody says the first wavelength of a spectrum; StartWL is needed")
    if specification.start_nm is not None and told is not None and start != specification.start_nm:
        warnings.append(
            f"StartWL is {start:g} at a spectrum and {specification.start_nm:g} in its specification; the former is "
            "taken"
        )
    step = specification.step_nm
    if step is None:
        end = start + USUAL_STEP_NM * (len(cells) - 1)
        if not 680 <= end <= 830:
            raise InvalidInput(
                f"nobody says the step of a spectrum of {len(cells)} values from {start:g} nm; Increment is needed"
            )
        step = USUAL_STEP_NM
        warnings.append(f"nobody says the step of the spectra; 10 nm is taken, so that they end at {end:g} nm")
    numbers = [number(cell, what=f"the value at {start + place * step:g} nm") for place, cell in enumerate(cells)]
    return Spectrum(
        start_nm=start, step_nm=step, values=tuple(one / 100 for one in numbers) if in_percent else tuple(numbers)
    )


def _moment(text: str, asked: Asked, warnings: list[str]) -> dt.datetime | None:
    if not text:
        return None
    found = moment(text)
    if found is not None and found.tzinfo is None:
        found = found.replace(tzinfo=asked.zone) if asked.zone else None
    if found is None:
        warnings.append(f"moments such as {one_line(text)[:40]!r} are left out; they need a time zone")
    return found


def _told(objects: list[Element]) -> tuple[tuple[tuple[str, str], ...], tuple[tuple[str, str], ...]]:
    counts: Counter[str] = Counter()
    for one in objects:
        counts.update(child.name for values in one.all("ColorValues") for child in values.children)
        counts.update(child.name for child in one.children if child.name == "DeviceColorValues")
    read = {"ReflectanceSpectrum": "reflectance", "ColorCIELab": "L*, a*, b*", "ColorCIELCh": "L*, chroma, hue",
            "ColorCIEXYZ": "X, Y, Z"}  # fmt: skip
    reasons = dict(UNUSED)
    used = tuple((f"{name} ({counts[name]} times)", use) for name, use in read.items() if counts[name])
    left_out = tuple(
        (f"{name} ({count} times)", reasons.get(name, "a colour to be printed or shown, not a reading"))
        for name, count in counts.items()
        if name not in read
    )
    return used, left_out

"""Small writers of readings in every form that is read, apart from the readers and sharing nothing with them."""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from laydown.domain.measurement import ColourMeasurement


def wavelengths(one: ColourMeasurement) -> list[int]:
    spectrum = one.spectrum
    return [round(spectrum.start_nm + place * spectrum.step_nm) for place in range(len(spectrum.values))]


def cgats(measurements: Sequence[ColourMeasurement], *, form: str, percent: bool, eol: str, quote: bool) -> str:
    """One table a set of conditions; ``form`` is a heading of a band such as ``SPECTRAL_NM{}``."""
    out = []
    for one in measurements:
        lines = ["CGATS.17", 'ORIGINATOR "a ""small"" writer"  # with a comment', 'KEYWORD "MEASUREMENT_GEOMETRY"']
        said = one.conditions
        if said.illuminant:
            lines.append(f'WEIGHTING_FUNCTION "ILLUMINANT, {said.illuminant}"')
        if said.observer:
            lines.append(f'WEIGHTING_FUNCTION "OBSERVER, {said.observer} degree"')
        if said.mode != "unknown":
            lines.append(f'MEASUREMENT_SOURCE "MeasurementCondition={said.mode} Filter=no"')
        if said.geometry != "unknown":
            lines.append(f'MEASUREMENT_GEOMETRY "{said.geometry}"')
        if said.backing != "unknown":
            lines.append(f'SAMPLE_BACKING "{said.backing}"')
        if said.instrument:
            lines.append(f'INSTRUMENTATION "{said.instrument}"')
        fields, cells = ["SAMPLE_NAME"], ['"' + one.name.replace('"', '""') + '"']
        if one.lab:
            fields += ["LAB_L", "LAB_A", "LAB_B"]
            cells += [repr(value) for value in one.lab]
        if one.spectrum:
            fields += [form.format(nm) for nm in wavelengths(one)]
            cells += [repr(100 * value if percent else value) for value in one.spectrum.values]
        if quote:
            cells[1:] = [f'"{cell}"' for cell in cells[1:]]
        lines += [f"NUMBER_OF_FIELDS {len(fields)}", "BEGIN_DATA_FORMAT", " ".join(fields), "END_DATA_FORMAT"]
        lines += ["NUMBER_OF_SETS 1", "BEGIN_DATA", "\t".join(cells), "END_DATA", ""]
        out += lines
    return eol.join(out)


def cxf(measurements: Sequence[ColourMeasurement], *, prefix: str) -> str:
    """One object and one specification a measurement."""
    geometry = {
        "45:0": "<SingleAngle><SingleAngleConfiguration>Annular</SingleAngleConfiguration>"
        "<IlluminationAngle>45</IlluminationAngle><MeasurementAngle>0</MeasurementAngle></SingleAngle>",
        "0:45": "<SingleAngle><SingleAngleConfiguration>Uniplanar</SingleAngleConfiguration>"
        "<IlluminationAngle>0.0</IlluminationAngle><MeasurementAngle>45.0</MeasurementAngle></SingleAngle>",
        "d:8 included": "<SphereGeometry>Specular_Included</SphereGeometry>",
        "d:8 excluded": "<SphereGeometry>Specular_Excluded</SphereGeometry>",
        "unknown": "<UnknownGeometry/>",
    }
    lamps = {
        "M0": "M0_Incandescent",
        "M1": "M1_Daylight",
        "M2": "M2_UVExcluded",
        "M3": "M3_Polarized",
        "unknown": "LED",
    }
    objects, specifications = [], []
    for place, one in enumerate(measurements):
        values = ""
        if one.lab:
            values += (
                f'<ColorCIELab ColorSpecification="S{place}"><L>{one.lab[0]!r}</L><A>{one.lab[1]!r}</A>'
                f"<B>{one.lab[2]!r}</B></ColorCIELab>"
            )
        increment = ""
        if one.spectrum:
            numbers = " ".join(map(repr, one.spectrum.values))
            values += (
                f'<ReflectanceSpectrum ColorSpecification="S{place}" StartWL="{one.spectrum.start_nm!r}">{numbers}'
                "</ReflectanceSpectrum>"
            )
            increment = f'<WavelengthRange StartWL="{one.spectrum.start_nm!r}" Increment="{one.spectrum.step_nm!r}"/>'
        moment = one.taken_at.isoformat() if one.taken_at else ""
        objects.append(
            f'<Object ObjectType="Target" Name={quoteattr(one.name)} Id="{place}"><CreationDate>{moment}</CreationDate>'
            f"<ColorValues>{values}</ColorValues></Object>"
        )
        said = one.conditions
        observer = f"<Observer>{said.observer}_Degree</Observer>" if said.observer else ""
        specifications.append(
            f'<ColorSpecification Id="S{place}"><TristimulusSpec><Illuminant>{said.illuminant}</Illuminant>{observer}'
            f"</TristimulusSpec><MeasurementSpec><GeometryChoice>{geometry[said.geometry]}</GeometryChoice>{increment}"
            f"<Backing>{said.backing}</Backing><Device><Model>{escape(said.instrument)}</Model>"
            f"<DeviceIllumination>{lamps.get(said.mode, 'LED')}</DeviceIllumination></Device></MeasurementSpec>"
            "</ColorSpecification>"
        )
    body = (
        f"<Resources><ObjectCollection>{''.join(objects)}</ObjectCollection><ColorSpecificationCollection>"
        f"{''.join(specifications)}</ColorSpecificationCollection></Resources>"
    )
    namespace = "http://colorexchangeformat.com/CxF3-core"
    if not prefix:
        return f'<?xml version="1.0"?>\n<CxF xmlns="{namespace}">{body}</CxF>'
    body = body.replace("</", "\0").replace("<", f"<{prefix}:").replace("\0", f"</{prefix}:")
    return f'<?xml version="1.0"?>\n<{prefix}:CxF xmlns:{prefix}="{namespace}">{body}</{prefix}:CxF>'


def table(
    measurements: Sequence[ColourMeasurement],
    *,
    delimiter: str,
    comma: bool,
    percent: bool,
    band: str,
    marks: Sequence[str],
) -> str:
    """One row a measurement; all must have the same wavelengths, and a colour or none."""
    first = measurements[0]
    head = ["Sample name"]
    head += list(marks) if first.lab else []
    head += [band.format(nm) for nm in wavelengths(first)] if first.spectrum else []
    head += ["Illuminant", "Observer", "Mode", "Geometry", "Backing", "Measured at"]
    lines = ["# written by a small writer", delimiter.join(head)]
    for one in measurements:
        numbers = [repr(value) for value in one.lab or ()]
        if one.spectrum:
            numbers += [repr(100 * value if percent else value) for value in one.spectrum.values]
        if comma:
            numbers = [number.replace(".", ",") for number in numbers]
        said = one.conditions
        words = [said.illuminant, said.observer, said.mode, said.geometry, said.backing]
        words = ["" if word == "unknown" else word for word in words]
        name = '"' + one.name.replace('"', '""') + '"'
        lines.append(delimiter.join([name, *numbers, *words, one.taken_at.isoformat() if one.taken_at else ""]))
    return "\n".join(lines) + "\n"


def standing(measurements: Sequence[ColourMeasurement], *, delimiter: str, comma: bool) -> str:
    """One row a wavelength, one column a measurement."""
    lines = [delimiter.join(["nm", *('"' + one.name.replace('"', '""') + '"' for one in measurements)])]
    for place, nm in enumerate(wavelengths(measurements[0])):
        cells = [str(nm), *(repr(one.spectrum.values[place]) for one in measurements)]
        lines.append(delimiter.join(cell.replace(".", ",") if comma else cell for cell in cells))
    return "\n".join(lines) + "\n"

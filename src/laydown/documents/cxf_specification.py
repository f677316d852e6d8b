"""What a ColorSpecification of a CxF file says: illuminant, observer, geometry, instrument, wavelengths."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from laydown.documents.cxf_xml import Element
from laydown.documents.measurement_text import number, one_line
from laydown.documents.measurement_words import condition_of
from laydown.domain.measurement import LONGEST_TEXT, Geometry
from laydown.errors import InvalidInput


@dataclass(frozen=True, slots=True, kw_only=True)
class Specification:
    """What a ColorSpecification says: conditions, and first wavelength and step where it has them [nm]."""

    said: Mapping[str, str]
    start_nm: float | None = None
    step_nm: float | None = None
    light: bool = False


def specification_of(one: Element, *, where: str) -> Specification:
    """What a ColorSpecification element says.

    Raises
    ------
    InvalidInput
        When a wavelength in it is no number.
    """
    said: dict[str, str] = {}
    tristimulus = one.first("TristimulusSpec")
    if tristimulus:
        said["illuminant"] = condition_of("illuminant", tristimulus.said("Illuminant"))
        said["observer"] = condition_of("observer", tristimulus.said("Observer").replace("_", " "))
    measured = one.first("MeasurementSpec")
    start = step = None
    light = False
    if measured:
        said["mode"] = condition_of("mode", measured.said("Device", "DeviceIllumination").replace("_", " "))
        said["geometry"] = _geometry(measured.first("GeometryChoice"))
        said["backing"] = condition_of("backing", measured.said("Backing"))
        maker = [measured.said("Device", part) for part in ("Manufacturer", "Model", "SerialNumber")]
        said["instrument"] = one_line(" ".join(part for part in maker if part))[:LONGEST_TEXT]
        kind = measured.said("MeasurementType")
        light = "Emissive" in kind or "Transmittance" in kind
    bands = one.first("MeasurementSpec", "WavelengthRange") or one.first("WavelengthRange")
    if bands:
        try:
            if "StartWL" in bands.attributes:
                start = number(bands.attributes["StartWL"], what="StartWL")
            if "Increment" in bands.attributes:
                step = number(bands.attributes["Increment"], what="Increment")
        except InvalidInput as error:
            raise InvalidInput(error.what, where=f"{where}, WavelengthRange") from None
    return Specification(said=said, start_nm=start, step_nm=step, light=light)


def _geometry(choice: Element | None) -> str:
    if choice is None:
        return ""
    sphere = {"Specular_Included": Geometry.D8_INCLUDED, "Specular_Excluded": Geometry.D8_EXCLUDED}
    found = sphere.get(choice.said("SphereGeometry"))
    if found:
        return found.value
    angle = choice.first("SingleAngle")
    if angle:
        words = (angle.said("IlluminationAngle"), angle.said("MeasurementAngle"))
        angles = tuple(word.removesuffix(".0") for word in words)
        return {("45", "0"): Geometry.G45_0.value, ("0", "45"): Geometry.G0_45.value}.get((angles[0], angles[1]), "")
    return condition_of("geometry", choice.said("UnknownGeometry"))

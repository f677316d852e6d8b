"""Write the fixtures of tests/documents/readings/ with other programs: see the README there.

Needs ArgyllCMS (Debian's package argyll), colour-science and colour-cxf 0.1.1, none of which the tests need to run.

Run: python tools/readings/make_fixtures.py
"""

from __future__ import annotations

import math
import re
import shutil
import subprocess
import tempfile
import warnings
from pathlib import Path

FOLDER = Path(__file__).parents[2] / "tests" / "documents" / "readings"
NAMES = ("white film", "navy cloth", "red ink", "grey step", "yellow ink")
WAVELENGTHS_NM = range(380, 731, 10)


def step(nm: float, centre: float, width: float) -> float:
    """Smooth step from 0 to 1."""
    return 1 / (1 + math.exp(-(nm - centre) / width))


def factor(sample: int, nm: float) -> float:
    """Reflectance factor of an invented smooth curve, six decimals."""
    curves = (
        0.88 - 0.25 * math.exp(-(nm - 380) / 18),
        0.02 + 0.06 * math.exp(-(((nm - 440) / 35) ** 2)),
        0.04 + 0.78 * step(nm, 605, 11),
        0.212 + 0.00002 * (nm - 555),
        0.05 + 0.75 * step(nm, 505, 12),
    )
    return round(curves[sample], 6)


def write_spectral_table(path: Path) -> None:
    """Write the plain table that the converters start from."""
    lines = [
        "CGATS.17",
        'ORIGINATOR "swatch bench"',
        f"NUMBER_OF_FIELDS {5 + len(WAVELENGTHS_NM)}",
        "BEGIN_DATA_FORMAT",
        "SAMPLE_ID SAMPLE_NAME RGB_R RGB_G RGB_B " + " ".join(f"SPECTRAL_NM{nm}" for nm in WAVELENGTHS_NM),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS {len(NAMES)}",
        "BEGIN_DATA",
    ]
    for sample, name in enumerate(NAMES):
        values = " ".join(f"{factor(sample, nm):.6f}" for nm in WAVELENGTHS_NM)
        lines.append(f"{sample + 1} {name.replace(' ', '_')} {20 * sample} {30 * sample} {10 * sample} {values}")
    path.write_text("\n".join([*lines, "END_DATA"]) + "\n", encoding="ascii")


def write_converted(folder: Path) -> None:
    """Let the converters make tables of spectra and of colours under three illuminants."""
    shutil.copy(FOLDER / "spectral_nm.txt", folder / "in.txt")

    def run(*command: str) -> None:
        subprocess.run(command, cwd=folder, check=True, capture_output=True)

    run("txt2ti3", "-i", "in.txt", "spectra")
    run("spec2cie", "-i", "D65", "-o", "1964_10", "spectra.ti3", "with_d65_10.ti3")
    run("spec2cie", "-n", "-i", "D50", "-o", "1931_2", "spectra.ti3", "lab_d50_2.ti3")
    run("spec2cie", "-n", "-i", "A", "-o", "1964_10", "spectra.ti3", "lab_a_10.ti3")
    for name in ("spectra", "with_d65_10", "lab_d50_2", "lab_a_10"):
        text = (folder / f"{name}.ti3").read_text(encoding="ascii")
        # The converter always writes the name of a real maker's instrument.
        text = re.sub(r'(?m)^TARGET_INSTRUMENT ".*"$', 'TARGET_INSTRUMENT "bench instrument"', text)
        (FOLDER / f"{name}.ti3").write_text(text, encoding="ascii")


def write_cxf(path: Path) -> None:
    """Let colour-cxf write the same curves, with colours by colour-science under D50, 2 degrees."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
        import colour_cxf
        from colour_cxf import cxf3
        from xsdata.models.datatype import XmlDateTime

    def specification(name: str, illuminant: str, observer: str, lamp: str, backing: str) -> object:
        return cxf3.ColorSpecification(
            id=name,
            tristimulus_spec=cxf3.TristimulusSpec(
                illuminant_or_custom_illuminant=cxf3.Illuminant(value=cxf3.EilluminantType(illuminant)),
                observer=cxf3.Observer(value=cxf3.EobserverType(observer)),
                method=cxf3.Method(value=next(iter(cxf3.EastmTableType))),
            ),
            measurement_spec=cxf3.MeasurementSpec(
                measurement_type=cxf3.MeasurementType(value=cxf3.EspectrumType.SPECTRUM_REFLECTANCE),
                geometry_choice=cxf3.GeometryChoice(
                    choice=cxf3.SingleAngleType(
                        single_angle_configuration=cxf3.SingleAngleConfiguration(
                            value=cxf3.EsingleAngleConfigurationType.ANNULAR
                        ),
                        illumination_angle=45,
                        measurement_angle=0,
                    )
                ),
                wavelength_range=cxf3.WavelengthRange(start_wl=380, increment=10),
                backing=backing,
                device=cxf3.Device(
                    manufacturer="Bench",
                    model="Forty-Five",
                    device_illumination=cxf3.DeviceIllumination(value=cxf3.EdeviceIlluminationType(lamp)),
                ),
            ),
        )

    objects = []
    for sample, name in enumerate(NAMES):
        values = [factor(sample, nm) for nm in WAVELENGTHS_NM]
        observer = "CIE 1931 2 Degree Standard Observer"
        xyz = colour.sd_to_XYZ(
            colour.SpectralDistribution(dict(zip(WAVELENGTHS_NM, values, strict=True))),
            colour.MSDS_CMFS[observer],
            colour.SDS_ILLUMINANTS["D50"],
            method="ASTM E308",
        )
        lab = [round(float(v), 3) for v in colour.XYZ_to_Lab(xyz / 100, colour.CCS_ILLUMINANTS[observer]["D50"])]
        choice = [
            cxf3.ReflectanceSpectrum(
                value=values,
                color_specification="CS_M1",
                start_wl=380,
                measure_date=XmlDateTime(2026, 11, 21, 10, sample, 0, 0, 60),
            ),
            cxf3.ColorCielab(l=lab[0], a=lab[1], b=lab[2], color_specification="CS_M1"),
            cxf3.ColorSrgb(r=10, g=20, b=30, color_specification="CS_M1"),
        ]
        if sample == 0:
            darker = [round(value * 0.99, 6) for value in values]
            choice.append(cxf3.ReflectanceSpectrum(value=darker, color_specification="CS_M2", start_wl=380))
        objects.append(
            cxf3.Object(
                object_type="Target",
                name=name,
                id=str(sample + 1),
                creation_date=cxf3.CreationDate(value=XmlDateTime(2026, 11, 21, 12, 0, 0, 0, 60)),
                color_values=cxf3.ColorValues(choice=choice),
            )
        )
    file = cxf3.CxF(
        file_information=cxf3.FileInformation(creator="swatch bench", description="invented curves"),
        resources=cxf3.Resources(
            object_collection=cxf3.ObjectCollection(object_value=objects),
            color_specification_collection=cxf3.ColorSpecificationCollection(
                color_specification=[
                    specification("CS_M1", "D50", "2_Degree", "M1_Daylight", "white"),
                    specification("CS_M2", "D65", "10_Degree", "M2_UVExcluded", "black"),
                ]
            ),
        ),
    )
    path.write_bytes(colour_cxf.write_cxf(file))


def main() -> None:
    """Write all fixtures."""
    FOLDER.mkdir(exist_ok=True)
    write_spectral_table(FOLDER / "spectral_nm.txt")
    with tempfile.TemporaryDirectory() as folder:
        write_converted(Path(folder))
    write_cxf(FOLDER / "written.cxf")


if __name__ == "__main__":
    main()

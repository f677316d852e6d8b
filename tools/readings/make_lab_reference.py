"""Write tests/reference/spectrum_lab.csv: CIELAB of the fixtures' curves by colour-science, integrated at 1 nm.

The curves are known at every wavelength, so these values know nothing of bands, weights or interpolation. The
tolerances are what sampling a smooth curve every 5, 10 or 20 nm may cost.

Run: python tools/readings/make_lab_reference.py
"""

from __future__ import annotations

import csv
import warnings
from pathlib import Path

import numpy as np
from make_fixtures import FOLDER, NAMES, factor

ROOT = Path(__file__).parents[2]
OBSERVERS = {"2": "CIE 1931 2 Degree Standard Observer", "10": "CIE 1964 10 Degree Standard Observer"}
CONDITIONS = (("D65", "10"), ("D50", "2"), ("D65", "2"), ("A", "10"))
GRIDS = ((380, 730, 10, 0.02), (400, 700, 10, 0.02), (380, 730, 5, 0.02), (400, 700, 20, 0.1))
HEAD = """\
# CIELAB of five invented smooth reflectance curves (tools/readings/make_fixtures.py, function factor), sampled from
# start_nm to end_nm in steps; beyond its ends a curve keeps its last value.
"""


def main() -> None:
    """Compute and write the table, and the curves in 5 nm steps as a file of readings."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
        from colour.colorimetry import sd_CIE_standard_illuminant_A

        place = f"sd_to_XYZ, method Integration, 1 nm, colour-science {colour.__version__}"
        fine = colour.SpectralShape(360, 780, 1)
        rows = []
        for illuminant, observer in CONDITIONS:
            cmfs = colour.MSDS_CMFS[OBSERVERS[observer]].copy().align(fine)
            if illuminant == "A":
                light = sd_CIE_standard_illuminant_A(fine)
            else:
                table = colour.SDS_ILLUMINANTS[illuminant]
                light = colour.SpectralDistribution(
                    np.interp(fine.wavelengths, table.wavelengths, table.values), fine.wavelengths
                )

            def xyz(values: np.ndarray, cmfs: object = cmfs, light: object = light) -> np.ndarray:
                sd = colour.SpectralDistribution(values, fine.wavelengths)
                return np.asarray(colour.sd_to_XYZ(sd, cmfs, light, method="Integration"))

            white = xyz(np.ones(len(fine.wavelengths)))
            chromaticity = white[:2] / white.sum()
            for sample, name in enumerate(NAMES):
                for start, end, step, tolerance in GRIDS:
                    held = np.clip(fine.wavelengths, start, end)
                    values = np.array([factor(sample, nm) for nm in held])
                    lab = colour.XYZ_to_Lab(xyz(values) / white[1], chromaticity)
                    rows += [
                        (name, start, end, step, f"{illuminant}/{observer}", axis, f"{value:.4f}", tolerance, place)
                        for axis, value in zip("Lab", lab, strict=True)
                    ]
    with (ROOT / "tests" / "reference" / "spectrum_lab.csv").open("w", encoding="utf-8", newline="") as file:
        file.write(HEAD)
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(
            [
                "name",
                "start_nm",
                "end_nm",
                "step_nm",
                "condition",
                "axis",
                "expected",
                "tolerance",
                "source",
                "place",
                "grade",
            ]
        )
        for *inputs, expected, tolerance, place in rows:
            writer.writerow([*inputs, expected, tolerance, "colour-science", place, "worked example"])
    lines = ["wavelength (nm);" + ";".join(NAMES)]
    lines += [
        f"{nm};" + ";".join(f"{100 * factor(sample, nm):.4f}".replace(".", ",") for sample in range(len(NAMES)))
        for nm in range(380, 731, 5)
    ]
    (FOLDER / "by_wavelength.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()

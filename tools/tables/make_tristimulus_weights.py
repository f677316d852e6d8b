"""Write src/laydown/data/tables/astm_e308_*.csv: tristimulus weights for spectra of 380 to 730 nm in 10 nm steps.

Input: the CIE tables of illuminants and observers that colour-science carries (dev dependency). Method: ASTM
E2022 weights over 360 to 780 nm, then the end rule of ASTM E308 for shorter spectra: the weights of bands that
were not measured are added to the first and the last band that was.

Run: python tools/tables/make_tristimulus_weights.py
"""

from __future__ import annotations

import warnings
from pathlib import Path

import numpy as np

TABLES = Path(__file__).parents[2] / "src" / "laydown" / "data" / "tables"
OBSERVERS = {"2": "CIE 1931 2 Degree Standard Observer", "10": "CIE 1964 10 Degree Standard Observer"}
CONDITIONS = (("D65", "10"), ("D50", "2"), ("D65", "2"), ("A", "10"))

HEAD = """\
# Tristimulus weights, illuminant {illuminant}, {observer} degree observer, 10 nm steps, not corrected for bandpass.
# Source: computed by ASTM E2022 from the CIE 15 tables as carried by colour-science {version}; end bands hold the
#   sums outside 380-730 nm as ASTM E308 prescribes. Made by tools/tables/make_tristimulus_weights.py.
# Grade: published (the CIE tables and the method); the white point is the column sums.
wavelength_nm,weight_x,weight_y,weight_z
"""


def main() -> None:
    """Compute and write all tables."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # optional parts of colour-science that are not installed
        import colour
        from colour.colorimetry import (
            adjust_tristimulus_weighting_factors_ASTME308,
            sd_CIE_standard_illuminant_A,
            tristimulus_weighting_factors_ASTME2022,
        )
    fine = colour.SpectralShape(360, 780, 1)
    full = colour.SpectralShape(360, 780, 10)
    ours = colour.SpectralShape(380, 730, 10)
    for illuminant, observer in CONDITIONS:
        cmfs = colour.MSDS_CMFS[OBSERVERS[observer]].copy().align(fine)
        if illuminant == "A":
            light = sd_CIE_standard_illuminant_A(fine)
        else:
            # CIE interpolates its 5 nm tables of the D illuminants linearly.
            table = colour.SDS_ILLUMINANTS[illuminant]
            light = colour.SpectralDistribution(
                np.interp(fine.wavelengths, table.wavelengths, table.values), fine.wavelengths
            )
        weights = adjust_tristimulus_weighting_factors_ASTME308(
            tristimulus_weighting_factors_ASTME2022(cmfs, light, full), full, ours
        )
        path = TABLES / f"astm_e308_{illuminant.lower()}_{observer}.csv"
        with path.open("w", encoding="utf-8", newline="\n") as file:
            file.write(HEAD.format(illuminant=illuminant, observer=observer, version=colour.__version__))
            for wavelength, row in zip(ours.wavelengths, weights, strict=True):
                file.write(f"{wavelength:.0f}," + ",".join(f"{value:.10g}" for value in row) + "\n")


if __name__ == "__main__":
    main()

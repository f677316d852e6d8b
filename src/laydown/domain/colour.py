"""A colour as somebody gave it: sRGB, CIELAB or a reflectance spectrum."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from laydown.errors import InvalidInput

BANDS = 36
_HEX = re.compile(r"#[0-9a-fA-F]{6}\Z")


@dataclass(frozen=True, slots=True, kw_only=True)
class Colour:
    """A colour in exactly one of three forms.

    Attributes
    ----------
    srgb : str
        ``#rrggbb`` after IEC 61966-2-1, or empty.
    lab : tuple of float
        CIELAB L*, a*, b*, or empty.
    lab_condition : str
        Illuminant and observer that ``lab`` refers to, such as ``D65/10``.
    spectrum : tuple of float
        Reflectance factors 380 to 730 nm in 10 nm steps (36 values from 0 to 1), or empty.
    """

    srgb: str = ""
    lab: tuple[float, float, float] | tuple[()] = ()
    lab_condition: str = "D65/10"
    spectrum: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        forms = [bool(self.srgb), bool(self.lab), bool(self.spectrum)]
        if sum(forms) != 1:
            raise InvalidInput("a colour is given in exactly one form: sRGB, Lab or a spectrum")
        if self.srgb and not _HEX.match(self.srgb):
            raise InvalidInput(f"{self.srgb!r} is no sRGB colour; write it as '#rrggbb', for example '#8c1d2f'")
        if self.lab:
            lightness, a, b = self.lab
            if not (all(map(math.isfinite, self.lab)) and 0 <= lightness <= 100 and abs(a) <= 150 and abs(b) <= 150):
                raise InvalidInput(
                    f"Lab {list(self.lab)} is no surface colour; L* lies in 0..100, a* and b* in -150..150"
                )
        if self.spectrum:
            if len(self.spectrum) != BANDS:
                raise InvalidInput(
                    f"a spectrum has {BANDS} values (380 to 730 nm in 10 nm steps), this one has {len(self.spectrum)}"
                )
            if not all(math.isfinite(r) and 0 <= r <= 1 for r in self.spectrum):
                raise InvalidInput("each reflectance of a spectrum lies between 0 and 1")

    def __str__(self) -> str:
        if self.srgb:
            return self.srgb
        if self.lab:
            return "Lab " + ", ".join(f"{v:g}" for v in self.lab)
        return "measured spectrum"

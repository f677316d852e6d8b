"""A colour as an instrument read it, with everything that decides whether two of them may be compared."""

from __future__ import annotations

import datetime as dt
import math
import re
from dataclasses import dataclass
from enum import StrEnum

from laydown.domain.validity import figure, within
from laydown.errors import InvalidInput

MOST_BANDS = 2000
LONGEST_NAME = 200
LONGEST_TEXT = 500

SHORTEST_NM, LONGEST_NM = 300.0, 1100.0
FINEST_STEP_NM, COARSEST_STEP_NM = 0.1, 50.0

LOWEST_FACTOR, HIGHEST_FACTOR = -0.05, 2.0
"""Reflectance factors: an instrument reads a little below 0 on black, and above 1 where a whitener glows."""

HIGHEST_LIGHTNESS = 131.0
"""L* of the highest reflectance factor, 2, in every band."""

_ILLUMINANT = re.compile(r"[A-Z][A-Za-z0-9-]{0,11}\Z")
_GRADE = re.compile(r"([1-5])(?:\s*[-/–]\s*([2-5])|[.,]([05]))?\Z")


def _one_line(what: str, text: str, longest: int) -> None:
    if len(text) > longest:
        raise InvalidInput(f"the {what} has {len(text)} characters; allowed are up to {longest}")
    if not text.isprintable():
        raise InvalidInput(f"the {what} holds a line break or a control character; it must be one line of text")


class MeasurementMode(StrEnum):
    """Measurement condition of ISO 13655: what the lamp holds."""

    M0 = "M0"
    M1 = "M1"
    M2 = "M2"
    M3 = "M3"
    UNKNOWN = "unknown"


class Geometry(StrEnum):
    """How the light falls and is seen."""

    G45_0 = "45:0"
    G0_45 = "0:45"
    D8_INCLUDED = "d:8 included"
    D8_EXCLUDED = "d:8 excluded"
    UNKNOWN = "unknown"


class Backing(StrEnum):
    """What lay below the sample."""

    WHITE = "white"
    BLACK = "black"
    SELF = "self"
    CLOTH = "cloth"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Conditions:
    """Under what a colour was read.

    Attributes
    ----------
    illuminant : str
        ``D65``, ``D50``, ``A``, ``F11`` and so on, of L*, a*, b*; empty when nobody said. A spectrum has none.
    observer : str
        ``2`` or ``10`` (degrees); empty when nobody said.
    mode : MeasurementMode
    geometry : Geometry
    backing : Backing
    instrument, operator : str
        Free text.
    """

    illuminant: str = ""
    observer: str = ""
    mode: MeasurementMode = MeasurementMode.UNKNOWN
    geometry: Geometry = Geometry.UNKNOWN
    backing: Backing = Backing.UNKNOWN
    instrument: str = ""
    operator: str = ""

    def __post_init__(self) -> None:
        if self.illuminant and not _ILLUMINANT.match(self.illuminant):
            raise InvalidInput(f"{self.illuminant!r} is no illuminant; write it as 'D65', 'D50', 'A' or 'F11'")
        if self.observer not in {"", "2", "10"}:
            raise InvalidInput(f"the observer {self.observer!r} does not exist; allowed are '2' and '10' (degrees)")
        for what, text in (("instrument", self.instrument), ("operator", self.operator)):
            _one_line(what, text, LONGEST_TEXT)

    @property
    def condition(self) -> str:
        """Illuminant and observer as ``D65/10``; empty when either is not known."""
        return f"{self.illuminant}/{self.observer}" if self.illuminant and self.observer else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spectrum:
    """Reflectance factors in equal steps of wavelength.

    Attributes
    ----------
    start_nm, step_nm : float
        Wavelength of the first value and distance of the others [nm].
    values : tuple of float
        Reflectance factors as shares of one, from a little below 0 (noise on black) to 2 (a whitener that glows).
    """

    start_nm: float
    step_nm: float
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        if not 2 <= len(self.values) <= MOST_BANDS:
            raise InvalidInput(f"a measured spectrum has 2 to {MOST_BANDS} values, this one has {len(self.values)}")
        within("step of a spectrum", self.step_nm, FINEST_STEP_NM, COARSEST_STEP_NM, "nm")
        within("first wavelength of a spectrum", self.start_nm, SHORTEST_NM, LONGEST_NM, "nm")
        within("last wavelength of a spectrum", self.end_nm, SHORTEST_NM, LONGEST_NM, "nm")
        for band, value in enumerate(self.values):
            if not (math.isfinite(value) and LOWEST_FACTOR <= value <= HIGHEST_FACTOR):
                raise InvalidInput(
                    f"the reflectance factor at {figure(self.start_nm + band * self.step_nm)} nm is {figure(value)}; "
                    f"allowed is {figure(LOWEST_FACTOR)} to {figure(HIGHEST_FACTOR)} as a share of one"
                )

    @property
    def end_nm(self) -> float:
        """Wavelength of the last value [nm]."""
        return self.start_nm + self.step_nm * (len(self.values) - 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColourMeasurement:
    """One reading of an instrument.

    Attributes
    ----------
    name : str
        Of the sample, as the file or the person named it.
    lab : tuple of float or None
        CIELAB L*, a*, b* under the illuminant and observer of ``conditions``.
    spectrum : Spectrum or None
        At least one of ``lab`` and ``spectrum`` is there. Where both are, the spectrum decides.
    taken_at : datetime or None
        With its time zone; None when nobody said.
    file : str
        Name of the file it was read from; empty when typed.
    line : int or None
        Line of that file.
    """

    name: str
    lab: tuple[float, float, float] | None = None
    spectrum: Spectrum | None = None
    conditions: Conditions = Conditions()
    taken_at: dt.datetime | None = None
    file: str = ""
    line: int | None = None

    def __post_init__(self) -> None:
        if not self.name.strip():
            raise InvalidInput("a measurement needs the name of its sample")
        _one_line("name of a sample", self.name, LONGEST_NAME)
        _one_line("name of a file", self.file, LONGEST_TEXT)
        if self.lab is None and self.spectrum is None:
            raise InvalidInput(f"the measurement of {self.name} has neither L*, a*, b* nor a spectrum; it needs one")
        if self.lab is not None:
            lightness, a, b = self.lab
            within("L*", lightness, -1.0, HIGHEST_LIGHTNESS, "")
            within("a*", a, -200.0, 200.0, "")
            within("b*", b, -200.0, 200.0, "")
        if self.taken_at is not None and self.taken_at.tzinfo is None:
            raise InvalidInput(f"the moment at which {self.name} was measured needs its time zone")
        if self.line is not None and self.line < 1:
            raise InvalidInput(f"line {self.line} of a file does not exist; the first line is 1")


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class GreyScaleGrade:
    """A grade read by eye on the grey scale of ISO 105-A02 (change) or A03 (staining), in half steps.

    Attributes
    ----------
    value : float
        5 (no difference), 4.5, 4 and so on down to 1.
    """

    value: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.value) and 1 <= self.value <= 5 and float(2 * self.value).is_integer()):
            raise InvalidInput(
                f"{figure(self.value)} is no grade of the grey scale; allowed are 1, 1-2, 2 and so on up to 5"
            )

    @classmethod
    def parse(cls, text: str) -> GreyScaleGrade:
        """Read a grade as people write it: ``4``, ``4-5``, ``4/5``, ``4.5`` or ``4,5``.

        Raises
        ------
        InvalidInput
            When the text is no grade.
        """
        match = _GRADE.match(text.strip())
        if match:
            low, high, half = match.groups()
            if not high:
                value = float(f"{low}.{half or 0}")
                if value <= 5:
                    return cls(value=value)
            elif int(high) == int(low) + 1:
                return cls(value=int(low) + 0.5)
        raise InvalidInput(f"{text!r} is no grade of the grey scale; allowed are 1, 1-2, 2, 2-3, 3, 3-4, 4, 4-5 and 5")

    def __str__(self) -> str:
        whole = int(self.value)
        return str(whole) if whole == self.value else f"{whole}-{whole + 1}"

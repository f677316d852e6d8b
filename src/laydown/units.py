"""The only conversion factors in laydown.

Inside the package a bare number is SI (metre, second, kilogram, kelvin, watt); a value in any other unit wears
it in its name. These functions stand at the edges, where people write and read.

Every factor is exact by definition: the inch is 25.4 mm and the pound 0.453 592 37 kg (international yard and
pound agreement, 1959), the US gallon is 231 cubic inches, 0 °C is 273.15 K.
"""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Number = TypeVar("Number", float, NDArray[np.float64])

INCH = 0.0254
FOOT = 12 * INCH
YARD = 3 * FOOT
POUND = 0.45359237
OUNCE = POUND / 16
US_GALLON = 231 * INCH**3
ZERO_CELSIUS = 273.15
MINUTE = 60.0
HOUR = 3600.0
DAY = 86400.0


def from_celsius(celsius: Number) -> Number:
    """Kelvin from degrees Celsius."""
    return celsius + ZERO_CELSIUS


def to_celsius(kelvin: Number) -> Number:
    """Degrees Celsius from kelvin."""
    return kelvin - ZERO_CELSIUS


def from_fahrenheit(fahrenheit: Number) -> Number:
    """Kelvin from degrees Fahrenheit."""
    return (fahrenheit - 32) / 1.8 + ZERO_CELSIUS


def to_fahrenheit(kelvin: Number) -> Number:
    """Degrees Fahrenheit from kelvin."""
    return (kelvin - ZERO_CELSIUS) * 1.8 + 32


def from_micron(micron: Number) -> Number:
    """Metres from micrometres."""
    return micron * 1e-6


def to_micron(metre: Number) -> Number:
    """Micrometres from metres."""
    return metre * 1e6


def from_mil(mil: Number) -> Number:
    """Metres from mil (a thousandth of an inch)."""
    return mil * (INCH / 1000)


def to_mil(metre: Number) -> Number:
    """Mil (a thousandth of an inch) from metres."""
    return metre / (INCH / 1000)


def from_mm(mm: Number) -> Number:
    """Metres from millimetres."""
    return mm * 1e-3


def to_mm(metre: Number) -> Number:
    """Millimetres from metres."""
    return metre * 1e3


def from_inch(inch: Number) -> Number:
    """Metres from inches."""
    return inch * INCH


def to_cm(metre: Number) -> Number:
    """Metres to centimetres."""
    return metre * 1e2


def to_cm2(square_metre: Number) -> Number:
    """Square metres to square centimetres."""
    return square_metre * 1e4


def to_inch(metre: Number) -> Number:
    """Inches from metres."""
    return metre / INCH


def from_gsm(gsm: Number) -> Number:
    """Kilograms per square metre from grams per square metre."""
    return gsm * 1e-3


def to_gsm(areal_mass: Number) -> Number:
    """Grams per square metre from kilograms per square metre."""
    return areal_mass * 1e3


def from_oz_per_yd2(oz_per_yd2: Number) -> Number:
    """Kilograms per square metre from ounces per square yard."""
    return oz_per_yd2 * (OUNCE / YARD**2)


def to_oz_per_yd2(areal_mass: Number) -> Number:
    """Ounces per square yard from kilograms per square metre."""
    return areal_mass / (OUNCE / YARD**2)


def from_threads_per_cm(per_cm: Number) -> Number:
    """Threads per metre from threads per centimetre."""
    return per_cm * 100


def to_threads_per_cm(per_metre: Number) -> Number:
    """Threads per centimetre from threads per metre."""
    return per_metre / 100


def from_threads_per_inch(per_inch: Number) -> Number:
    """Threads per metre from threads per inch."""
    return per_inch / INCH


def to_threads_per_inch(per_metre: Number) -> Number:
    """Threads per inch from threads per metre."""
    return per_metre * INCH


def from_minute(minute: Number) -> Number:
    """Seconds from minutes."""
    return minute * MINUTE


def to_minute(second: Number) -> Number:
    """Minutes from seconds."""
    return second / MINUTE


def from_hour(hour: Number) -> Number:
    """Seconds from hours."""
    return hour * HOUR


def to_hour(second: Number) -> Number:
    """Hours from seconds."""
    return second / HOUR


def from_day(day: Number) -> Number:
    """Seconds from days."""
    return day * DAY


def to_day(second: Number) -> Number:
    """Days from seconds."""
    return second / DAY


def from_metre_per_minute(metre_per_minute: Number) -> Number:
    """Metres per second from metres per minute."""
    return metre_per_minute / MINUTE


def to_metre_per_minute(metre_per_second: Number) -> Number:
    """Metres per minute from metres per second."""
    return metre_per_second * MINUTE


def to_foot_per_minute(metre_per_second: Number) -> Number:
    """Feet per minute from metres per second."""
    return metre_per_second * MINUTE / FOOT


def from_g_per_ml(g_per_ml: Number) -> Number:
    """Kilograms per cubic metre from grams per millilitre."""
    return g_per_ml * 1000


def to_gram(kilogram: Number) -> Number:
    """Grams from kilograms."""
    return kilogram * 1e3


def from_n_per_cm(n_per_cm: Number) -> Number:
    """Newtons per metre from newtons per centimetre (screen tension)."""
    return n_per_cm * 100


def to_n_per_cm(n_per_m: Number) -> Number:
    """Newtons per centimetre from newtons per metre (screen tension)."""
    return n_per_m / 100


def from_kj_per_mol(kj_per_mol: Number) -> Number:
    """Joules per mole from kilojoules per mole."""
    return kj_per_mol * 1e3


def from_cm2_per_s(cm2_per_s: Number) -> Number:
    """Square metres per second from square centimetres per second."""
    return cm2_per_s * 1e-4


def from_percent(percent: Number) -> Number:
    """Share of one from per cent."""
    return percent / 100


def to_percent(share: Number) -> Number:
    """Per cent from share of one."""
    return share * 100


def from_cm3_per_m2(cm3_per_m2: Number) -> Number:
    """Cubic metres per square metre (a film thickness in metres) from cubic centimetres per square metre."""
    return cm3_per_m2 * 1e-6


def to_cm3_per_m2(volume_per_area: Number) -> Number:
    """Cubic centimetres per square metre from cubic metres per square metre."""
    return volume_per_area * 1e6


def from_cm3(cm3: Number) -> Number:
    """Cubic metres from cubic centimetres."""
    return cm3 * 1e-6


def to_cm3(cubic_metre: Number) -> Number:
    """Cubic centimetres from cubic metres."""
    return cubic_metre * 1e6


def from_gram(gram: Number) -> Number:
    """Kilograms from grams."""
    return gram * 1e-3


def from_per_micron(per_micron: Number) -> Number:
    """Per metre from per micrometre (Kubelka-Munk coefficients)."""
    return per_micron * 1e6


def from_kj_per_kg(kj_per_kg: Number) -> Number:
    """Joules per kilogram from kilojoules per kilogram."""
    return kj_per_kg * 1e3


def from_degree(degree: Number) -> Number:
    """Radians from degrees of angle."""
    return degree * (np.pi / 180)


def from_foot_per_minute(foot_per_minute: Number) -> Number:
    """Metres per second from feet per minute."""
    return foot_per_minute * (FOOT / MINUTE)


def to_g_per_ml(kg_per_m3: Number) -> Number:
    """Grams per millilitre from kilograms per cubic metre."""
    return kg_per_m3 / 1000


def to_kj_per_mol(j_per_mol: Number) -> Number:
    """Kilojoules per mole from joules per mole."""
    return j_per_mol / 1e3


def from_per_mm(per_mm: Number) -> Number:
    """Per metre from per millimetre."""
    return per_mm * 1e3


def to_per_mm(per_metre: Number) -> Number:
    """Per millimetre from per metre."""
    return per_metre / 1e3


def to_per_hour(per_second: Number) -> Number:
    """Per hour from per second (pieces through a press or a dryer)."""
    return per_second * HOUR


def to_degree(radian: Number) -> Number:
    """Degrees of angle from radians."""
    return radian * (180 / np.pi)


def from_per_inch(per_inch: Number) -> Number:
    """Per metre from per inch (halftone rulings, device resolutions)."""
    return per_inch / INCH


def to_per_inch(per_metre: Number) -> Number:
    """Per inch from per metre (halftone rulings, device resolutions)."""
    return per_metre * INCH


def from_cm(cm: Number) -> Number:
    """Metres from centimetres."""
    return cm * 0.01


def from_cm2(square_cm: Number) -> Number:
    """Square metres from square centimetres."""
    return square_cm * 1e-4


def from_square_inch(square_inch: Number) -> Number:
    """Square inches to m²."""
    return square_inch * INCH**2


def to_square_inch(square_metre: Number) -> Number:
    """m² to square inches."""
    return square_metre / INCH**2


def from_per_hour(per_hour: Number) -> Number:
    """Per second from per hour."""
    return per_hour / HOUR


def from_kilopascal(kilopascal: Number) -> Number:
    """Pascals from kilopascals."""
    return kilopascal * 1e3


def to_kilopascal(pascal: Number) -> Number:
    """Kilopascals from pascals."""
    return pascal / 1e3

"""SI numbers as a shop likes to read them: one small function for each kind of number.

Every function takes the number in SI units (a share as a share of one) and gives text that is ready to print.
Where the shop's taste matters, the second argument is its `Preferences`.
"""

from __future__ import annotations

import datetime as dt
import math

from laydown import units
from laydown.domain.forecast import Spread
from laydown.domain.order import Print
from laydown.domain.screen import Mesh
from laydown.domain.shop import Preferences
from laydown.report.decimal_sign import figure

_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
# What frames say where meshes are counted per inch (common practice): 43 threads/cm are 109.2 per inch, called 110.
_COUNTS_PER_INCH = (
    *(30, 38, 61, 64, 74, 81, 86, 92, 102, 110, 122, 125, 131, 137, 140, 150, 156, 160, 173, 180, 186, 195, 206),
    *(215, 225, 230, 240, 255, 280, 305, 330, 355, 380, 420, 460),
)
NOTHING = "–"
"""Stands where there is nothing to say, so that an empty cell is never mistaken for a forgotten one."""


def number(value: float, digits: int = 0) -> str:
    """Write a number with thousands separated, without a minus before zero, its decimals after the reader's sign."""
    text = f"{value:,.{digits}f}"
    return figure(text.removeprefix("-") if not text.strip("-0.,") else text.replace("-", "−"))


def _span(first: str, last: str) -> str:
    return first if first == last else f"{first}–{last}"


def temperature_number(kelvin: float, prefs: Preferences) -> float:
    """Temperature on the shop's scale [°C or °F]."""
    return units.to_fahrenheit(kelvin) if prefs.temperature == "F" else units.to_celsius(kelvin)


def temperature_unit(prefs: Preferences) -> str:
    """``°C`` or ``°F``."""
    return f"°{prefs.temperature}"


def temperature(kelvin: float, prefs: Preferences) -> str:
    """``160 °C`` or ``320 °F``."""
    return f"{number(temperature_number(kelvin, prefs))} {temperature_unit(prefs)}"


def temperature_range(low: float, high: float, prefs: Preferences) -> str:
    """``158–166 °C``; a single value where both round to the same."""
    first, last = (number(temperature_number(k, prefs)) for k in (low, high))
    return f"{_span(first, last)} {temperature_unit(prefs)}"


def temperature_difference(kelvin: float, prefs: Preferences, *, signed: bool = True) -> str:
    """Difference of two temperatures: ``+5 °C``, ``+9 °F``."""
    shown = number(kelvin * (1.8 if prefs.temperature == "F" else 1.0))
    return f"{'+' if signed and shown[0] != '−' else ''}{shown} {temperature_unit(prefs)}"


def length(metre: float, prefs: Preferences) -> str:
    """Sizes and gaps: ``300 mm``, ``3.2 mm``, ``11.8 in``, ``0.13 in``."""
    if prefs.length == "inch":
        inch = units.to_inch(metre)
        return f"{number(inch, 2 if inch < 2 else 1)} in"
    mm = units.to_mm(metre)
    return f"{number(mm, 1 if mm < 10 else 0)} mm"


def fine_length(metre: float, prefs: Preferences) -> str:
    """Details of the art: ``0.12 mm``, ``1.4 mm``, ``0.005 in``."""
    if prefs.length == "inch":
        return f"{number(units.to_inch(metre), 3)} in"
    mm = units.to_mm(metre)
    return f"{number(mm, 2 if mm < 0.995 else 1 if mm < 9.95 else 0)} mm"


def size(print_: Print, prefs: Preferences) -> str:
    """Width by height: ``300 × 350 mm``."""
    width, height = length(print_.width, prefs), length(print_.height, prefs)
    figure, unit = width.rsplit(" ", 1)
    return f"{figure} × {height}" if height.endswith(unit) else f"{width} × {height}"


def micron(metre: float) -> str:
    """Films, threads and stencils: ``38 µm``, ``8.5 µm``."""
    value = units.to_micron(metre)
    return f"{number(value, 1 if 0 < abs(value) < 9.95 else 0)} µm"


def mesh(woven: Mesh | None, prefs: Preferences) -> str:
    """Threads per centimetre or inch over the thread in micrometres: ``43/80``, ``110/80``; ``closed`` without mesh.

    Counts per inch are the ones written on frames where the converted count is within one per cent of one.
    """
    return "closed" if woven is None else mesh_figures(woven.count, units.to_micron(woven.thread), prefs)


def mesh_figures(count: float, thread_um: float, prefs: Preferences) -> str:
    """Two figures of a mesh, from its threads per metre and its thread."""
    if prefs.mesh == "inch":
        exact = units.to_threads_per_inch(count)
        nearest = min(_COUNTS_PER_INCH, key=lambda known: abs(known - exact))
        shown = nearest if abs(nearest - exact) <= 0.01 * exact else exact
    else:
        shown = units.to_threads_per_cm(count)
    return f"{number(shown)}/{number(thread_um)}"


def mesh_unit(prefs: Preferences) -> str:
    """Say what the first figure of a mesh counts: ``per cm`` or ``per inch``."""
    return "per inch" if prefs.mesh == "inch" else "per cm"


def tension(low: float, high: float) -> str:
    """Screen tension: ``25–35 N/cm``."""
    return f"{_span(number(units.to_n_per_cm(low)), number(units.to_n_per_cm(high)))} N/cm"


def shore(span: tuple[float, float]) -> str:
    """Squeegee hardness on the Shore A scale: ``60–65``."""
    return _span(number(span[0]), number(span[1]))


def belt_speed(metre_per_second: float, prefs: Preferences) -> str:
    """``1.8 m/min`` or ``5.9 ft/min``."""
    if prefs.length == "inch":
        return f"{number(units.to_foot_per_minute(metre_per_second), 1)} ft/min"
    return f"{number(units.to_metre_per_minute(metre_per_second), 2)} m/min"


def areal_mass(value: float, prefs: Preferences) -> str:
    """Cloth or film mass per area: ``180 g/m²`` or ``5.3 oz/yd²``."""
    if prefs.areal_mass == "oz":
        return f"{number(units.to_oz_per_yd2(value), 1)} oz/yd²"
    return f"{number(units.to_gsm(value))} g/m²"


def mass(kilogram: float) -> str:
    """Ink to mix: ``8.4 g``, ``640 g``, ``1.24 kg``."""
    gram = units.to_gram(kilogram)
    if gram >= 999.5:
        return f"{number(kilogram, 2)} kg"
    return f"{number(gram, 1 if gram < 9.95 else 0)} g"


def duration(second: float) -> str:
    """``4.5 s``, ``75 s``, ``12 min``, ``1 h 40 min``, ``14 days``."""
    if second < 9.95:
        return f"{number(second, 1)} s"
    if second < 119.5:
        return f"{number(second)} s"
    minutes = round(units.to_minute(second))
    if minutes < 120:
        return f"{minutes} min"
    hours = round(units.to_hour(second), 1)
    if hours < 48:
        whole, rest = divmod(minutes, 60)
        return f"{whole} h {rest} min" if rest else f"{whole} h"
    return f"{number(units.to_day(second))} days"


def pieces_per_hour(per_second: float) -> str:
    """``412`` pieces an hour."""
    return number(math.floor(units.from_hour(per_second) + 1e-6))


def money(amount: float, currency: str) -> str:
    """``312.40 USD``."""
    return f"{number(amount, 2)} {currency}"


def percent(share: float) -> str:
    """Share of the cloth or of a mixture: ``8 %``."""
    return f"{number(units.to_percent(share))} %"


def chance(probability: float) -> str:
    """Probability that never claims certainty: ``under 1 %``, ``12 %``, ``over 99 %``."""
    if probability < 0.01:
        return "under 1 %"
    return "over 99 %" if probability > 0.99 else percent(probability)


def grade(value: float) -> str:
    """Grey-scale grade in half steps, as the standard writes it: ``4``, ``4-5``."""
    half = round(2 * min(max(value, 1.0), 5.0))
    return f"{half // 2}" if half % 2 == 0 else f"{half // 2}-{half // 2 + 1}"


def spread(values: Spread, digits: int = 1) -> str:
    """Median with the middle eight of ten: ``2.1 (1.5–3.0)``."""
    low, high = number(values.p10, digits), number(values.p90, digits)
    return (
        f"{number(values.p50, digits)} ({low} to {high})"
        if "−" in low
        else (f"{number(values.p50, digits)} ({_span(low, high)})")
    )


def date(day: dt.date) -> str:
    """``Thu 10 Dec 2026``: cannot be read two ways, whatever the country."""
    return f"{_DAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]} {day.year}"


def short_date(day: dt.date) -> str:
    """``Thu 10 Dec``, where the year is plain."""
    return date(day).rsplit(" ", 1)[0]

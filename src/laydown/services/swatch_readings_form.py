"""Readings as people enter and read them: from a form's fields to a value, and a value in words."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from laydown import units
from laydown.documents.reading_value import key_of, value_from
from laydown.domain.measurement import (
    Backing,
    ColourMeasurement,
    Conditions,
    Geometry,
    GreyScaleGrade,
    MeasurementMode,
    Spectrum,
)
from laydown.domain.protocol import Reads
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.reading import Reading, Value
from laydown.domain.shop import Preferences
from laydown.domain.swatch import Swatch
from laydown.errors import InvalidInput
from laydown.report import display_units as show
from laydown.services.swatch_book import SwatchSheet

GAUGE_ERROR_UM = 2.0
"""How far a film gauge is off, nine times of ten, where nobody says. Assumed."""

_NUMBERS = re.compile(r"[;\s]+")


def value_of_fields(  # noqa: PLR0911 - one return a kind of value
    reads: Reads, fields: Mapping[str, str], prefs: Preferences, *, name: str
) -> Value:
    """Value of a reading from what a form's fields say.

    Parameters
    ----------
    fields : mapping of str to str
        ``lightness``, ``a``, ``b`` or ``spectrum`` (with ``start_nm`` and ``step_nm``), with ``light`` (such as
        ``D65/10``) or ``illuminant`` and ``observer``, ``mode``, ``geometry``, ``backing``, ``instrument``; ``grade``;
        ``mass`` (grams); ``temperature`` (in the units of `prefs`); ``tone`` (per cent); ``passed`` (yes or no);
        ``photo`` (SHA-256 of a kept one).
    name : str
        What a colour's sample is called.

    Raises
    ------
    InvalidInput
        With the field's name in ``where``.
    """
    if reads is Reads.COLOUR:
        return _colour(fields, name)
    if reads in {Reads.STAINING, Reads.CHANGE}:
        said = fields.get("grade", "").strip()
        try:
            return GreyScaleGrade.parse(said)
        except InvalidInput as error:
            raise InvalidInput(error.what if said else "choose a grade", where="grade") from None
    if reads is Reads.VERDICT:
        if fields.get("passed") not in {"yes", "no"}:
            raise InvalidInput("say whether it passes", where="passed")
        return fields["passed"] == "yes"
    if reads is Reads.PHOTO:
        said = fields.get("photo", "").strip()
        if not re.fullmatch(r"[0-9a-f]{64}", said):
            raise InvalidInput("choose a photo", where="photo")
        return said
    key = key_of(reads)
    number = number_of(fields.get(key, ""), key)
    if reads is Reads.MASS:
        return units.from_gram(number)
    if reads is Reads.TONE:
        return units.from_percent(number)
    return round(units.from_fahrenheit(number) if prefs.temperature == "F" else units.from_celsius(number), 6)


def number_of(said: str, where: str) -> float:
    """Number that somebody typed, with a point or a comma.

    Raises
    ------
    InvalidInput
        When it is none.
    """
    try:
        value = float(said.strip().replace(",", "."))
    except ValueError:
        shown = f"{said.strip()!r} is no number" if said.strip() else "a number is needed"
        raise InvalidInput(shown, where=where) from None
    if not abs(value) < 1e9:
        raise InvalidInput(f"{said.strip()!r} is no number that can be meant", where=where)
    return value


def kelvin_of(said: str, prefs: Preferences, where: str) -> float | None:
    """Temperature that somebody typed in the units they like [K]; None when nothing was typed."""
    if not said.strip():
        return None
    number = number_of(said, where)
    return round(units.from_fahrenheit(number) if prefs.temperature == "F" else units.from_celsius(number), 6)


def belt_of(said: str, prefs: Preferences, where: str) -> float | None:
    """Belt speed that somebody typed in the units they like [m/s]; None when nothing was typed."""
    if not said.strip():
        return None
    number = number_of(said, where)
    return units.from_foot_per_minute(number) if prefs.length == "inch" else units.from_metre_per_minute(number)


def area_of(said: str, prefs: Preferences, where: str) -> float | None:
    """Area that somebody typed, in cm² or square inches [m²]; None when nothing was typed."""
    if not said.strip():
        return None
    number = number_of(said, where)
    return units.from_square_inch(number) if prefs.length == "inch" else units.from_cm2(number)


def area_number(area: float | None, prefs: Preferences) -> str:
    """Area as a form's field holds it; `area_of` reads it."""
    if area is None:
        return ""
    return f"{units.to_square_inch(area) if prefs.length == 'inch' else units.to_cm2(area):.6g}"


def film_of(said: str, error: str, where: str) -> Quantity | None:
    """Film thickness that somebody typed, with how far off it may be [µm]; None when nothing was typed."""
    if not said.strip():
        return None
    value, off = number_of(said, where), number_of(error, f"{where}_error") if error.strip() else GAUGE_ERROR_UM
    return gauged(units.from_micron(value), units.from_micron(off))


def gauged(value: float, error: float) -> Quantity:
    """Film thickness by a gauge, and how far off that may be nine times of ten [m].

    Raises
    ------
    InvalidInput
        When it may be off by as much as the film is thick.
    """
    if not 0 <= error < value:
        raise InvalidInput("a gauge is off by less than the film is thick", where="film_error")
    return Quantity(value=value, low=value - error, high=value + error, grade=Grade.MEASURED, source="film gauge")


def areas_of(swatch: Swatch) -> tuple[str, ...]:
    """What may be under the instrument on a swatch: what one sees of its print; for a drawdown its two grounds."""
    if swatch.stack is None:
        return ("over black", "over white") if swatch.ink else ()
    from laydown.models.appearance import visible_areas

    return tuple(dict.fromkeys(area.name for area in visible_areas(swatch.stack)))


def conditions_of(value: Value) -> Conditions:
    """Conditions of a colour; nothing told for anything else."""
    return value.conditions if isinstance(value, ColourMeasurement) else Conditions()


def fields_of_value(reading: Reading, prefs: Preferences) -> dict[str, str]:
    """Fields of a form that say what a reading says, so that a correction begins with it."""
    value = reading.value
    if isinstance(value, ColourMeasurement):
        found = {"light": value.conditions.condition, "instrument": value.conditions.instrument}
        found |= {key: getattr(value.conditions, key).value for key in ("mode", "geometry", "backing")}
        if value.lab is not None:
            found |= dict(zip(("lightness", "a", "b"), (f"{number:g}" for number in value.lab), strict=True))
        if value.spectrum is not None:
            found["spectrum"] = " ".join(f"{number:g}" for number in value.spectrum.values)
            found |= {"start_nm": f"{value.spectrum.start_nm:g}", "step_nm": f"{value.spectrum.step_nm:g}"}
        return found
    if isinstance(value, GreyScaleGrade):
        return {"grade": str(value)}
    if isinstance(value, bool | str):
        return {}
    if reading.reads is Reads.MASS:
        return {"mass": f"{units.to_gram(value):g}"}
    if reading.reads is Reads.TONE:
        return {"tone": f"{units.to_percent(value):g}"}
    return {"temperature": f"{show.temperature_number(value, prefs):.1f}"}


def last_conditions(sheet: SwatchSheet) -> Conditions:
    """Conditions of the newest colour that was read off a swatch: the next one is most often read alike."""
    for row in reversed(sheet.readings):
        if isinstance(row.reading.value, ColourMeasurement):
            return row.reading.value.conditions
    return Conditions()


def value_of_document(reads: Reads, document: Any, *, name: str) -> Value:
    """Value of a reading from its JSON (`laydown.documents.reading_value.ValueEntry`)."""
    return value_from(document, reads, where="value", name=name)


def words_of(  # noqa: PLR0911 - one return a kind of value
    value: Value, reads: Reads, prefs: Preferences
) -> str:
    """Value of a reading as people read it."""
    if isinstance(value, ColourMeasurement):
        if value.lab is not None:
            lightness, a, b = value.lab
            return f"L* {lightness:.2f}, a* {a:.2f}, b* {b:.2f}"
        spectrum = value.spectrum
        return f"spectrum, {spectrum.start_nm:g} to {spectrum.end_nm:g} nm" if spectrum else "colour"
    if isinstance(value, GreyScaleGrade):
        return f"grade {value}"
    if isinstance(value, bool):
        return "pass" if value else "fail"
    if isinstance(value, str):
        return "photo"
    if reads is Reads.MASS:
        return f"{units.to_gram(value):.2f} g"
    if reads is Reads.TONE:
        return f"{units.to_percent(value):.1f} %"
    return show.temperature(value, prefs)


def conditions_words(value: Value) -> str:
    """Under what a colour was read, in a line."""
    if not isinstance(value, ColourMeasurement):
        return ""
    under = value.conditions
    told = [under.condition or "light not told", under.instrument]
    for one in (under.mode, under.geometry):
        told += [one.value] if one.value != "unknown" else []
    told += [f"backing {under.backing.value}"] if under.backing is not Backing.UNKNOWN else []
    return ", ".join(word for word in told if word)


def _colour(fields: Mapping[str, str], name: str) -> ColourMeasurement:
    words = {key: fields.get(key, "").strip() for key in ("illuminant", "observer", "instrument", "operator")}
    light, _, angle = fields.get("light", "").partition("/")
    if light:
        words |= {"illuminant": light.strip(), "observer": angle.strip()}
    try:
        conditions = Conditions(
            **words,
            mode=MeasurementMode(fields.get("mode") or "unknown"),
            geometry=Geometry(fields.get("geometry") or "unknown"),
            backing=Backing(fields.get("backing") or "unknown"),
        )
    except ValueError as error:
        raise error if isinstance(error, InvalidInput) else InvalidInput(str(error), where="conditions") from None
    said = fields.get("spectrum", "").strip()
    if said:
        values = [number_of(word, "spectrum") for word in _NUMBERS.split(said) if word]
        # People copy per cent or shares; a white above 1.5 can only be per cent.
        scale = 0.01 if max(values) > 2.0 else 1.0
        return ColourMeasurement(
            name=name,
            spectrum=Spectrum(
                start_nm=number_of(fields.get("start_nm", "400"), "start_nm"),
                step_nm=number_of(fields.get("step_nm", "10"), "step_nm"),
                values=tuple(value * scale for value in values),
            ),
            conditions=conditions,
        )
    lab = tuple(number_of(fields.get(key, ""), key) for key in ("lightness", "a", "b"))
    if not conditions.condition:
        raise InvalidInput("say under which light and observer the colour was read, for example D65/10", where="light")
    return ColourMeasurement(name=name, lab=(lab[0], lab[1], lab[2]), conditions=conditions)

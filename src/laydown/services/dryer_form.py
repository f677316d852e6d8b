"""Forms of the dryer's pages as records: how a log was taken, what its columns are, a daily check."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from laydown import units
from laydown.documents.sentences import told_at
from laydown.domain.press import Flash
from laydown.domain.probe_check import ProbeCheck
from laydown.domain.probe_log import (
    MOST_CHANNELS,
    ColumnUse,
    DegreeUnit,
    Lane,
    ProbeConditions,
    ProbeMapping,
    Spot,
)
from laydown.domain.shop import Preferences
from laydown.errors import InvalidInput
from laydown.services import dryer_watch, probe_words
from laydown.services.probe_machines import Machine, setting_of

Fields = Mapping[str, str]

MOST_COLUMNS = 200


def conditions_from_form(fields: Fields, prefs: Preferences, machine: Machine | None = None) -> ProbeConditions:
    """How a log was taken.

    Parameters
    ----------
    fields : mapping of str to str
        ``dryer``, ``garment``, ``date``, ``film_um`` (may be empty), ``note``; of a dryer ``panel`` and ``belt`` (may
        be empty), of a flash unit ``flash_s`` (may be empty).
    prefs : Preferences
        Units of the numbers.
    machine : Dryer or Flash, optional
        What the log is of; of a flash unit the emitters' temperature is the shelf's.

    Raises
    ------
    InvalidInput
        With the field in ``where``.
    """
    if isinstance(machine, Flash):
        setting, speed = setting_of(machine, None), None
        seconds = number(fields, "flash_s", "the time") if fields.get("flash_s", "").strip() else None
    else:
        setting, speed = _panel_and_belt(fields, prefs)
        seconds = None
    film = number(fields, "film_um", "the film") if fields.get("film_um", "").strip() else 0.0
    return ProbeConditions(
        dryer=fields.get("dryer", "").strip(),
        garment=fields.get("garment", "").strip(),
        date=_date(fields.get("date", "")),
        setting=setting,
        speed=speed,
        film=units.from_micron(film),
        flash_seconds=seconds,
        note=fields.get("note", "").strip(),
    )


def _panel_and_belt(fields: Fields, prefs: Preferences) -> tuple[float, float | None]:
    panel = number(fields, "panel", "the panel setting")
    belt = number(fields, "belt", "the belt speed") if fields.get("belt", "").strip() else None
    return temperature_from(panel, prefs), None if belt is None else speed_from(belt, prefs)


def mapping_from_form(fields: Fields) -> ProbeMapping | None:
    """What somebody says the columns are; None when the form says nothing of them.

    Parameters
    ----------
    fields : mapping of str to str
        ``time`` (a column, counted from 0), ``unit``, and for each column ``use<n>`` (``lane|spot`` or empty) and
        ``name<n>``.

    Raises
    ------
    InvalidInput
        With the field in ``where``.
    """
    if "time" not in fields:
        return None
    if not fields["time"].isdecimal() or int(fields["time"]) >= MOST_COLUMNS:
        raise InvalidInput("choose the column with the time", where="time")
    if fields.get("unit") not in {"C", "F"}:
        raise InvalidInput("choose °C or °F", where="unit")
    time = int(fields["time"])
    channels: list[ColumnUse] = []
    for column in range(MOST_COLUMNS):
        said = fields.get(f"use{column}", "")
        if not said or column == time:
            continue
        lane, _, spot = said.partition("|")
        if lane not in set(Lane) or spot not in set(Spot):
            raise InvalidInput(f"{said!r} is no place of a thermocouple", where=f"use{column}")
        name = fields.get(f"name{column}", "").strip()[:80] or f"column {column + 1}"
        channels.append(ColumnUse(column=column, name=name, lane=Lane(lane), spot=Spot(spot)))
    if not channels:
        raise InvalidInput(f"say for 1 to {MOST_CHANNELS} columns where the thermocouple lay", where="columns")
    return ProbeMapping(time_column=time, channels=tuple(channels), unit=DegreeUnit(fields["unit"]))


def check_from_form(machine: str, fields: Fields, prefs: Preferences, now: dt.datetime) -> ProbeCheck:
    """Daily check.

    Parameters
    ----------
    machine : str
        Dryer or flash unit.
    fields : mapping of str to str
        ``kind``, ``value`` (in the units of `prefs`), ``note``, ``anew``, ``at`` (empty: now).
    now : datetime
        With its time zone, which a moment without one is taken in.

    Raises
    ------
    InvalidInput
        With the field in ``where``.
    """
    kind = dryer_watch.kind_of(fields.get("kind", ""))
    value = probe_words.check_from(kind, number(fields, "value", "the reading"), prefs)
    with told_at("value"):
        return ProbeCheck(
            machine=machine,
            kind=kind,
            value=value,
            happened_at=_moment(fields.get("at", ""), now),
            note=fields.get("note", "").strip(),
            anew=fields.get("anew") == "yes",
        )


def number(fields: Fields, name: str, words: str) -> float:
    """Number of a field, with either decimal sign.

    Raises
    ------
    InvalidInput
        With the field in ``where``.
    """
    said = fields.get(name, "").strip()
    try:
        value = float(said.replace(",", "."))
    except ValueError:
        raise InvalidInput(f"{words} is needed as a number" + (f", not {said!r}" if said else ""), where=name) from None
    if not abs(value) < 1e7:
        raise InvalidInput(f"{said!r} is no number that can be meant", where=name)
    return value


def temperature_from(value: float, prefs: Preferences) -> float:
    """Kelvin of a temperature in the unit of whoever typed it."""
    return units.from_fahrenheit(value) if prefs.temperature == "F" else units.from_celsius(value)


def speed_from(value: float, prefs: Preferences) -> float:
    """Metres per second of a belt speed in the unit of whoever typed it."""
    return units.from_foot_per_minute(value) if prefs.length == "inch" else units.from_metre_per_minute(value)


def above_from(said: str, prefs: Preferences, usual: float) -> float:
    """Temperature that times are counted from [K]; the usual one where nothing was said.

    Raises
    ------
    InvalidInput
        When it is no temperature of a print.
    """
    if not said.strip():
        return usual
    kelvin = temperature_from(number({"above": said}, "above", "the temperature"), prefs)
    if not 273.15 <= kelvin <= 600.0:
        raise InvalidInput("a temperature of a print is needed, up to 320 °C", where="above")
    return kelvin


def _date(said: str) -> dt.date:
    try:
        return dt.date.fromisoformat(said.strip())
    except ValueError:
        raise InvalidInput(f"{said!r} is no day; write it as 2026-12-10", where="date") from None


def _moment(said: str, now: dt.datetime) -> dt.datetime:
    if not said.strip():
        return now
    try:
        moment = dt.datetime.fromisoformat(said.strip())
    except ValueError:
        raise InvalidInput(f"{said!r} is no moment; write it as 2026-12-10T07:30", where="at") from None
    return moment if moment.tzinfo is not None else moment.replace(tzinfo=now.tzinfo)

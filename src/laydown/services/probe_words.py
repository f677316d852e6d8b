"""Probe logs, fits, matches and checks as cells and sentences, in the units of whoever reads."""

from __future__ import annotations

from laydown import units
from laydown.domain.probe_check import CheckKind
from laydown.domain.probe_log import Lane, ProbeConditions
from laydown.domain.shop import Preferences
from laydown.lab.dryer_fit import DryerFit
from laydown.lab.dryer_fit_words import FittedNumber
from laydown.lab.dryer_match import DryerMatch
from laydown.lab.flash_fit import FlashFit
from laydown.lab.probe_reading import ChannelReading, ProbeReading
from laydown.report import display_units as show
from laydown.report.plain_text import capital, printable
from laydown.report.shop_words import shop_words

SAFETY = (
    "Belts, garments and thermocouples are hot behind the dryer: use gloves made for it, keep wires and sleeves off "
    "the moving belt, and let nobody reach into the tunnel. Never leave a dryer or flash unattended. The maker's "
    "manual and local codes come first."
)
"""Shown wherever a probe is asked for."""

LANES = {Lane.LEFT: "left lane", Lane.CENTRE: "centre", Lane.RIGHT: "right lane"}


def channel_cells(one: ChannelReading, prefs: Preferences) -> tuple[str, ...]:
    """Name, place, peak, time above, rise and cooling of a wire."""
    return (
        printable(one.channel.name),
        f"{LANES[one.channel.lane]}, {one.channel.spot}",
        show.temperature(one.peak, prefs),
        show.duration(one.seconds_above),
        rate(one.rise, prefs),
        rate(one.fall, prefs),
    )


def rate(kelvin_per_second: float, prefs: Preferences) -> str:
    """Rate of rise: ``3.4 °C/s``."""
    value = kelvin_per_second * (1.8 if prefs.temperature == "F" else 1.0)
    return f"{show.number(value, 1)} {show.temperature_unit(prefs)}/s"


def reading_sentences(reading: ProbeReading, prefs: Preferences) -> tuple[str, ...]:
    """Coolest and hottest place, belt, and doubts."""
    told: list[str] = []
    cool, hot = reading.coolest, reading.hottest
    if cool is not None and hot is not None and cool is not hot:
        apart = show.temperature_difference(hot.peak - cool.peak, prefs, signed=False)
        told.append(
            f"Coolest is {printable(cool.channel.name)} ({LANES[cool.channel.lane]}), hottest "
            f"{printable(hot.channel.name)} ({LANES[hot.channel.lane]}), {apart} apart."
        )
    if reading.speed is not None and reading.dwell is not None:
        low, high = show.belt_speed(reading.speed.low, prefs), show.belt_speed(reading.speed.high, prefs)
        told.append(
            f"The belt ran at {show.belt_speed(reading.speed.value, prefs)} ({low} to {high}): "
            f"{show.duration(reading.dwell)} in the tunnel, by the bends of the curve."
        )
    if reading.plausible:
        told.append("Nothing speaks against this log.")
    told += [f"{capital(shop_words(doubt, prefs))}." for doubt in reading.doubts]
    return tuple(told)


def conditions_sentence(conditions: ProbeConditions, prefs: Preferences, *, flash: bool = False) -> str:
    """How a log of a dryer or flash unit was taken, in a line."""
    belt = show.belt_speed(conditions.speed, prefs) if conditions.speed is not None else "belt not noted"
    film = f", {show.micron(conditions.film)} of ink" if conditions.film else ", bare cloth"
    garment = printable(conditions.garment)
    if flash:
        seconds = conditions.flash_seconds
        flashed = "flash time not noted" if seconds is None else f"flashed {show.duration(seconds)}"
        return f"{flashed}, on {garment}{film}"
    return f"panel {show.temperature(conditions.setting, prefs)}, {belt}, on {garment}{film}"


def number_cells(one: FittedNumber, prefs: Preferences) -> tuple[str, str, str, str, str]:
    """What it is, what the shelf said, what was fitted, the interval, and how well the logs tell it."""
    return (
        capital(one.words),
        _value(one.before, one.unit, prefs),
        _value(one.value, one.unit, prefs),
        f"{_value(one.low, one.unit, prefs)} to {_value(one.high, one.unit, prefs)}",
        one.told,
    )


def fit_sentence(fit: DryerFit | FlashFit, prefs: Preferences) -> str:
    """How well the fitted machine follows the logs."""
    count = sum(channel.times.size for row in fit.curves.logs for channel in row)
    rms = show.number(fit.curves.rms * (1.8 if prefs.temperature == "F" else 1.0), 1)
    told = f"{count} readings are followed within {rms} {show.temperature_unit(prefs)} (rms)"
    if fit.curves.misfit > 0:
        missed = show.number(fit.curves.misfit * (1.8 if prefs.temperature == "F" else 1.0), 1)
        told += (
            f"; the model misses this machine's curve by some {missed} {show.temperature_unit(prefs)} beyond the "
            "wires' noise, so every interval is widened"
        )
    return told


def lane_sentence(fit: DryerFit | FlashFit) -> str:
    """Heat of the lanes beside each other; empty for one lane."""
    if len(fit.curves.lane_heat) < 2:
        return ""
    flash = isinstance(fit, FlashFit)
    names = {lane: str(lane) if flash else LANES[lane] for lane in fit.curves.lane_heat}
    parts = [f"{names[lane]} {100 * (heat - 1):+.0f} %" for lane, heat in fit.curves.lane_heat.items()]
    return f"Heat beside the mean of the {'places' if flash else 'lanes'}: {', '.join(parts)}.".replace("-", "−")


def match_cells(match: DryerMatch, prefs: Preferences) -> tuple[tuple[str, str, str], ...]:
    """What is asked of the curve, and what comes."""
    target = match.target
    peak = show.temperature(match.peak, prefs)
    span = show.temperature_range(match.peak_low, match.peak_high, prefs)
    return (
        (
            "Peak of the film's coolest point",
            show.temperature(target.peak, prefs),
            f"{peak} (9 of 10: {span})",
        ),
        (
            f"Time above {show.temperature(target.above, prefs)}",
            show.duration(target.seconds_above),
            show.duration(match.seconds_above),
        ),
        (
            "Hottest point of the cloth",
            f"up to {show.temperature(target.cloth_limit, prefs)}",
            show.temperature(match.cloth_peak, prefs),
        ),
    )


def check_value(kind: CheckKind, value: float, prefs: Preferences) -> str:
    """Value of a check."""
    if kind is CheckKind.BELT:
        return show.belt_speed(value, prefs)
    return f"{show.number(show.temperature_number(value, prefs), 1)} {show.temperature_unit(prefs)}"


def check_number(kind: CheckKind, value: float, prefs: Preferences) -> float:
    """Value of a check in the unit of whoever reads."""
    if kind is not CheckKind.BELT:
        return show.temperature_number(value, prefs)
    return units.to_foot_per_minute(value) if prefs.length == "inch" else units.to_metre_per_minute(value)


def check_unit(kind: CheckKind, prefs: Preferences) -> str:
    """Unit that checks of a kind are typed in."""
    if kind is not CheckKind.BELT:
        return show.temperature_unit(prefs)
    return "ft/min" if prefs.length == "inch" else "m/min"


def check_from(kind: CheckKind, value: float, prefs: Preferences) -> float:
    """SI value of a check that was typed in the unit of whoever reads."""
    if kind is CheckKind.BELT:
        return units.from_foot_per_minute(value) if prefs.length == "inch" else units.from_metre_per_minute(value)
    return units.from_fahrenheit(value) if prefs.temperature == "F" else units.from_celsius(value)


def _value(value: float, unit: str, prefs: Preferences) -> str:
    if unit == "K":
        return f"{show.number(value * (1.8 if prefs.temperature == 'F' else 1.0), 1)} {show.temperature_unit(prefs)}"
    return f"{show.number(value, 2)} {unit}".strip() if unit else f"× {show.number(value, 2)}"

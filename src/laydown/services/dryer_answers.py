"""Probe logs, fits and matches as programs get them: plain data in °C, m/min and seconds."""

from __future__ import annotations

from typing import Any

from laydown.domain.costs import Climate
from laydown.domain.shop import Shop
from laydown.services import probe_fit
from laydown.services.plan_book_view import read_both
from laydown.services.probe_fit import ProbeFile
from laydown.services.probe_machines import Machine
from laydown.units import to_celsius, to_metre_per_minute

Answer = dict[str, Any]


def reading_answer(machine: Machine, file: ProbeFile, above: float) -> Answer:
    """What a log says.

    Raises
    ------
    InvalidInput
        When it cannot be read.
    """
    _, reading = probe_fit.read(machine, file, above=above)
    speed = reading.speed
    return {
        "above_c": to_celsius(above),
        "plausible": reading.plausible,
        "doubts": list(reading.doubts),
        "belt_m_per_min": to_metre_per_minute(speed.value) if speed else None,
        "belt_low_m_per_min": to_metre_per_minute(speed.low) if speed else None,
        "belt_high_m_per_min": to_metre_per_minute(speed.high) if speed else None,
        "channels": [
            {
                "name": one.channel.name,
                "lane": str(one.channel.lane),
                "spot": str(one.channel.spot),
                "peak_c": to_celsius(one.peak),
                "peak_at_s": one.peak_time,
                "seconds_above": one.seconds_above,
                "longest_above_s": one.longest_above,
                "rise_k_per_s": one.rise,
                "fall_k_per_s": one.fall,
                "coolest": one is reading.coolest,
                "hottest": one is reading.hottest,
            }
            for one in reading.channels
        ],
    }


def fit_answer(machine: Machine, climate: Climate, files: tuple[ProbeFile, ...], above: float) -> Answer:
    """Machine fitted to logs.

    Raises
    ------
    InvalidInput
        When a log cannot be read or used.
    """
    fit = probe_fit.fit(machine, climate, files, above=above)
    return {
        "rms_k": fit.curves.rms,
        "numbers": [
            {
                "name": one.words,
                "unit": one.unit,
                "before": one.before,
                "value": one.value,
                "low": one.low,
                "high": one.high,
                "told": one.told,
            }
            for one in fit.curves.numbers
        ],
        "cannot_tell": list(fit.cannot_tell),
        "conflicts": list(fit.curves.conflicts),
        "dryer": dict(probe_fit.document(probe_fit.fitted(fit))),
    }


def match_answer(plan_text: str, shop_text: str, shop: Shop, dryer: str, index: int) -> Answer:
    """Panel and belt that give a kept plan's curve.

    Raises
    ------
    InvalidInput
        When the print has no stack.
    NotFound
        When the dryer is on no shelf.
    """
    plan, own_shop = read_both(plan_text, shop_text)
    found = probe_fit.match(shop, plan, dryer, print_index=index, own_shop=own_shop)
    return {
        "dryer": found.dryer,
        "panel_c": to_celsius(found.setting),
        "belt_m_per_min": to_metre_per_minute(found.speed),
        "peak_c": to_celsius(found.peak),
        "asked_peak_c": to_celsius(found.target.peak),
        "seconds_above": found.seconds_above,
        "asked_seconds_above": found.target.seconds_above,
        "above_c": to_celsius(found.target.above),
        "met": found.met,
        "misses": list(found.misses),
    }

"""How the pages of the lab tell of swatches, readings and times; given to every template of the lab."""

from __future__ import annotations

import datetime as dt
from typing import Any

from laydown import units
from laydown.domain.protocol import DueReading, Step
from laydown.domain.reading import Reading
from laydown.domain.shop import Preferences
from laydown.domain.swatch import PressRun
from laydown.report import display_units as show
from laydown.services.swatch_labels import after_words
from laydown.services.swatch_readings_form import conditions_words, words_of


def lab_words(prefs: Preferences) -> dict[str, Any]:
    """Functions for a template of the lab, in the units that whoever asks likes."""

    def value_words(reading: Reading) -> str:
        return words_of(reading.value, reading.reads, prefs)

    def step_words(step: Step) -> str:
        told = []
        if step.temperature is not None:
            told.append(show.temperature(step.temperature, prefs))
        if step.duration:
            told.append(duration_words(step.duration))
        if step.humidity is not None:
            told.append(f"{units.to_percent(step.humidity):.0f} % humidity")
        if step.pressure is not None:
            told.append(f"{units.to_kilopascal(step.pressure):.3g} kPa")
        return ", ".join(told)

    def run_words(run: PressRun) -> str:
        panel, belt = show.temperature(run.panel_setting, prefs), show.belt_speed(run.belt_speed, prefs)
        told = f"{run.dryer}, panel {panel}, belt {belt}"
        if run.flash_seconds is not None:
            told += f", flash {run.flash_seconds:.3g} s"
        return told + (f", {run.passages} times" if run.passages > 1 else "")

    return {
        "value_words": value_words,
        "settings_words": lambda one: (
            f"{one.dryer}, panel {show.temperature(one.panel, prefs)}, belt {show.belt_speed(one.belt, prefs)}"
        ),
        "money": show.money,
        "conditions_words": lambda reading: conditions_words(reading.value),
        "step_words": step_words,
        "run_words": run_words,
        "after": after_words,
        "due_words": due_words,
        "ago": ago,
        "duration": duration_words,
    }


def due_words(wanted: DueReading) -> str:
    """What is to be read, in a few words: ``colour of the warm half, 3 times``."""
    part = f" of the {wanted.part}" if wanted.part else ""
    return f"{wanted.reads.value}{part}" + (f", {wanted.times} times" if wanted.times > 1 else "")


def ago(moment: dt.datetime, now: dt.datetime) -> str:
    """How far off a moment is: ``in 3 h``, ``2 d ago``."""
    seconds = (moment - now).total_seconds()
    told = duration_words(abs(seconds))
    return f"in {told}" if seconds > 0 else f"{told} ago"


def duration_words(seconds: float) -> str:
    """Duration in words."""
    if seconds >= 2 * units.DAY:
        return f"{units.to_day(seconds):.0f} d"
    if seconds >= units.HOUR:
        return f"{units.to_hour(seconds):.0f} h"
    return f"{units.to_minute(seconds):.0f} min" if seconds >= units.MINUTE else f"{seconds:.0f} s"

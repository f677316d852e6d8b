"""Probe logs, fits and charts of checks as pages show them; plain data only, so that another process can make it."""

from __future__ import annotations

from typing import Any

from laydown.domain.costs import Climate
from laydown.domain.probe_check import WORDS
from laydown.domain.probe_log import ProbeLog
from laydown.domain.shop import Preferences, Shop
from laydown.lab.dryer_fit import DryerFit
from laydown.lab.dryer_match import DryerMatch
from laydown.lab.flash_fit import FlashFit
from laydown.lab.probe_reading import ProbeReading
from laydown.report import display_units as show
from laydown.report.check_chart import CheckSeries, check_chart
from laydown.report.decimal_sign import decimal_sign
from laydown.report.plain_text import capital, printable
from laydown.report.probe_chart import ForetoldCurve, ProbeCurve, foretold_chart, probe_chart, residual_chart
from laydown.report.shop_words import shop_words
from laydown.services import probe_fit, probe_words
from laydown.services.dryer_watch import Watch
from laydown.services.plan_book_view import read_both
from laydown.services.probe_fit import ProbeFile
from laydown.services.probe_machines import Machine

View = dict[str, Any]


def reading_view(machine: Machine, file: ProbeFile, above: float, prefs: Preferences, decimal: str = ".") -> View:
    """What a log says, with the decimal sign of whoever reads.

    Raises
    ------
    InvalidInput
        When it cannot be read.
    """
    log, reading = probe_fit.read(machine, file, above=above)
    with decimal_sign(decimal):
        return _reading_view(log, reading, above, prefs)


def _reading_view(log: ProbeLog, reading: ProbeReading, above: float, prefs: Preferences) -> View:
    curves = [ProbeCurve(name=printable(one.name), times=one.times, kelvins=one.temperatures) for one in log.channels]
    return {
        "above": show.temperature(above, prefs),
        "rows": [probe_words.channel_cells(one, prefs) for one in reading.channels],
        "told": probe_words.reading_sentences(reading, prefs),
        "plausible": reading.plausible,
        "chart": probe_chart(
            curves,
            prefs,
            above=above,
            entry=reading.entry.time if reading.entry else None,
            leaving=reading.exit.time if reading.exit else None,
        ),
    }


def fit_view(
    machine: Machine,
    climate: Climate,
    files: tuple[ProbeFile, ...],
    above: float,
    prefs: Preferences,
    decimal: str = ".",
) -> View:
    """Fit of a machine, and the machine it gives.

    Raises
    ------
    InvalidInput
        When a log cannot be read or used.
    """
    fit = probe_fit.fit(machine, climate, files, above=above)
    with decimal_sign(decimal):
        return _fit_view(fit, files, prefs)


def match_view(match: DryerMatch, prefs: Preferences) -> View:
    """Setting of a dryer that gives a curve."""
    return {
        "panel": show.temperature(match.setting, prefs),
        "belt": show.belt_speed(match.speed, prefs),
        "cells": probe_words.match_cells(match, prefs),
        "met": match.met,
        "misses": [f"{capital(shop_words(one, prefs))}." for one in match.misses],
    }


def match_plan(
    plan_text: str, shop_text: str, shop: Shop, dryer: str, index: int, prefs: Preferences, decimal: str = "."
) -> View:
    """Panel and belt that give a kept plan's curve on a dryer of today.

    Raises
    ------
    InvalidInput
        When the print has no stack.
    NotFound
        When the dryer is on no shelf.
    """
    plan, own_shop = read_both(plan_text, shop_text)
    found = probe_fit.match(shop, plan, dryer, print_index=index, own_shop=own_shop)
    with decimal_sign(decimal):
        kept = plan.prints[index]
        return match_view(found, prefs) | {"place": printable(kept.place)}


def _fit_view(fit: DryerFit | FlashFit, files: tuple[ProbeFile, ...], prefs: Preferences) -> View:
    logs: list[View] = []
    for number, (file, row) in enumerate(zip(files, fit.curves.logs, strict=True)):
        charts = [
            {
                "name": printable(one.name),
                "share": show.percent(one.share_inside),
                "chart": foretold_chart(
                    ForetoldCurve(
                        name=printable(one.name),
                        times=one.times.tolist(),
                        read=one.measured.tolist(),
                        before=one.before.tolist(),
                        after=one.after.tolist(),
                        low=one.after_low.tolist(),
                        high=one.after_high.tolist(),
                    ),
                    prefs,
                    slug=f"fit-{number}-{wire}",
                ),
            }
            for wire, one in enumerate(row)
        ]
        residuals = [(printable(one.name), one.times.tolist(), one.residual.tolist()) for one in row]
        logs.append(
            {
                "name": printable(file.name),
                "wires": charts,
                "residuals": residual_chart(residuals, prefs, slug=f"residual-{number}"),
            }
        )
    return {
        "head": capital(probe_words.fit_sentence(fit, prefs)),
        "numbers": [probe_words.number_cells(one, prefs) for one in fit.curves.numbers if one.of_dryer],
        "others": [probe_words.number_cells(one, prefs) for one in fit.curves.numbers if not one.of_dryer],
        "conflicts": [f"{capital(shop_words(one, prefs))}." for one in fit.curves.conflicts],
        "told": [f"{capital(one)}." for one in fit.cannot_tell],
        "lanes": probe_words.lane_sentence(fit),
        "logs": logs,
        "document": dict(probe_fit.document(probe_fit.fitted(fit))),
        "source": probe_fit.source_of(probe_fit.fitted(fit)),
    }


def watch_view(watch: Watch, prefs: Preferences, decimal: str = ".") -> View:
    """Chart of one thing that is checked of a machine."""
    with decimal_sign(decimal):
        return _watch_view(watch, prefs)


def _watch_view(watch: Watch, prefs: Preferences) -> View:
    kind, chart = watch.kind, watch.chart

    def number(value: float) -> float:
        return probe_words.check_number(kind, value, prefs)

    def words(value: float) -> str:
        return probe_words.check_value(kind, value, prefs)

    limits = chart.limits
    drawn = ""
    if watch.checks:
        series = CheckSeries(
            values=[number(value) for value in chart.values],
            days=[one.check.happened_at.astimezone().strftime("%d %b") for one in watch.checks],
            bad=chart.bad,
            limits=(number(limits.low), number(limits.centre), number(limits.high)) if limits else None,
            means=[number(value) for value in chart.means],
            mean_low=[number(value) for value in chart.mean_low],
            mean_high=[number(value) for value in chart.mean_high],
        )
        drawn = check_chart(
            series,
            slug=f"check-{kind}",
            title=f"{capital(WORDS[kind])} of {printable(watch.machine)}",
            unit=probe_words.check_unit(kind, prefs),
            verdict=watch.verdict,
        )
    return {
        "kind": str(kind),
        "label": capital(WORDS[kind].removeprefix("the ")),
        "unit": probe_words.check_unit(kind, prefs),
        "verdict": capital(watch.verdict),
        "well": watch.well,
        "told": [capital(one) for one in watch.told],
        "chart": drawn,
        "limits": (
            f"{words(limits.low)} to {words(limits.high)}, mean {words(limits.centre)}, from {limits.checks} checks"
            if limits
            else ""
        ),
        "last_good": watch.last_good,
        "touched": [{"id": one.id, "name": one.name, "pieces": one.pieces, "sure": one.sure} for one in watch.touched],
        "checks": [
            {
                "id": one.id,
                "value": words(one.check.value),
                "at": one.check.happened_at,
                "by": one.made_by,
                "note": one.check.note,
                "anew": one.check.anew,
                "bad": place in chart.bad,
            }
            for place, one in reversed(list(enumerate(watch.checks)))
        ][:30],
    }

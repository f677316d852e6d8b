"""Where a stack would be printed: press, heads, flash times, dryer, and what that costs before any risk."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from laydown.domain.forecast import FlashForecast
from laydown.domain.press import Press
from laydown.domain.stack import Pass, Stack
from laydown.models.film import Film
from laydown.models.flash import LONGEST_FLASH, cloth_when_gelled, gel_temperatures
from laydown.models.heat import HeatRun
from laydown.models.sampling import percentiles
from laydown.planning import reasons
from laydown.planning.dryer_settings import DryerChoice, NoSetting
from laydown.planning.heads import NoPlace, place
from laydown.planning.job import Job, Setup
from laydown.production.cost import print_cost
from laydown.production.placement import Placement, plate_numbers
from laydown.production.summary import produce

Values = NDArray[np.float64]


def placements_for(job: Job, stack: Stack) -> list[Placement] | str:
    """Every press on which the stack can stand; the reasons of all presses when it can stand on none."""
    # Where screens stand depends on plates, screens and flashes, not on what the ink is called.
    numbers = plate_numbers(stack.passes)
    pattern = tuple((n, p.flash_after, p.screen.name, p.role) for n, p in zip(numbers, stack.passes, strict=True))
    if pattern not in job.places:
        job.places[pattern] = tuple(
            place(stack, press, print_width=job.print_.width, print_height=job.print_.height)
            for press in job.shop.presses
        )
    tried = job.places[pattern]
    good = [p for p in tried if not isinstance(p, NoPlace)]
    if good:
        return good
    said = [f"{p.press}: {p.reason}" for p in tried if isinstance(p, NoPlace)]
    return "; ".join(said) or "there is no press on the shelf"


def set_up(job: Job, stack: Stack, film: Film, placements: list[Placement]) -> Setup | tuple[str, str]:
    """Cheapest press and dryer on which the stack gels and cures; stage and reason when there is none."""
    inks = tuple(p.ink for p in stack.inked if p.ink is not None)
    thickness = float(np.median(film.total()))
    chosen: list[DryerChoice] = []
    refused: list[NoSetting] = []
    for dryer in job.shop.dryers:
        found = job.dryers.find(dryer, thickness, inks, job.order.garment.width)
        (chosen if isinstance(found, DryerChoice) else refused).append(found)  # type: ignore[arg-type]
    if not chosen:
        why = min(refused, key=lambda n: n.short_by).reason if refused else "there is no dryer on the shelf"
        return "cure", why
    setups: list[Setup] = []
    ungelled = ""
    for placement in placements:
        press = next(p for p in job.shop.presses if p.name == placement.press)
        seconds: list[float] = []
        for pass_ in _flashed(stack):
            found_seconds = _flash_time(job, film, press, pass_)
            if found_seconds is None:
                ungelled = reasons.flash(pass_.label, LONGEST_FLASH)
                break
            seconds.append(found_seconds)
        else:
            for choice in chosen:
                production = produce(
                    job.order,
                    job.print_,
                    stack,
                    press=press,
                    dryer=choice.dryer,
                    placement=placement,
                    flash_seconds=tuple(seconds),
                    belt_speed=choice.speed,
                    wet=tuple(float(w) for w in np.median(film.wet, axis=1)),
                    costs=job.shop.costs,
                )
                base = print_cost(job.order, production, placement, press, job.shop.costs, buys_blanks=job.first_print)
                setups.append(
                    Setup(
                        press=press,
                        placement=placement,
                        flash_seconds=tuple(seconds),
                        dryer=choice.dryer,
                        dryer_choice=choice,
                        production=production,
                        base_cost=base,
                    )
                )
    if not setups:
        return "flash", ungelled
    return min(setups, key=lambda s: s.base_cost.order)


def _flashed(stack: Stack) -> tuple[Pass, ...]:
    return tuple(p for p in stack.passes if p.flash_after)


def _flash_time(job: Job, film: Film, press: Press, pass_: Pass) -> float | None:
    gel = pass_.ink.gel_temperature if pass_.ink is not None else None
    if gel is None:
        return None
    return job.flashes.find(press, float(np.median(film.before(pass_))), gel)


def flash_forecasts(
    job: Job, stack: Stack, film: Film, setup: Setup
) -> tuple[tuple[HeatRun, ...], tuple[FlashForecast, ...], tuple[Values, ...]]:
    """Run every flash of the stack: the runs, what they are expected to do, and how hot the cloth gets [K]."""
    runs: list[HeatRun] = []
    cloth: list[Values] = []
    forecasts: list[FlashForecast] = []
    for pass_, seconds in zip(_flashed(stack), setup.flash_seconds, strict=True):
        gel = pass_.ink.gel_temperature if pass_.ink is not None else None
        if gel is None:
            continue
        run = job.flashes.run(setup.press, film.before(pass_), seconds)
        end = run.coolest[:, -1]
        gels = gel_temperatures(gel, job.samples)
        runs.append(run)
        cloth.append(cloth_when_gelled(run, job.flashes.bare(setup.press, seconds), gels))
        forecasts.append(
            FlashForecast(
                after=pass_.label,
                seconds=seconds,
                gel_temperature=gel.value,
                film_temperature=percentiles(end),
                risk=float((end < gels).mean()),
            )
        )
    return tuple(runs), tuple(forecasts), tuple(cloth)

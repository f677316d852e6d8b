"""Try one candidate stack: rules, press, forecasts, requirements, cost."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from laydown.domain.forecast import FlashForecast, Forecast
from laydown.domain.stack import Pass, Stack
from laydown.models.adhesion import judge_adhesion
from laydown.models.appearance import Area, judge_opacity, visible_areas
from laydown.models.bleed import judge_bleed, no_bleed
from laydown.models.colour import lab_of
from laydown.models.cure import judge_cure, median_history
from laydown.models.film import Film, build_film, describe_passes, finest_detail
from laydown.models.ghosting import judge_ghosting
from laydown.models.hand_and_stretch import judge_hand, judge_stretch, lowest_toughness
from laydown.models.heat import LONGEST_FLASH, HeatRun
from laydown.models.ink_optics import ink_spectra
from laydown.models.life import thermal_life
from laydown.models.sampling import percentiles
from laydown.planning import reasons
from laydown.planning.dryer_settings import DryerChoice, NoSetting
from laydown.planning.facts import Setting
from laydown.planning.heads import NoPlace, place
from laydown.planning.information import drivers
from laydown.planning.job import Assessment, Job, Setup
from laydown.planning.rules.apply import Verdict, judge
from laydown.production.cost import print_cost
from laydown.production.placement import Placement
from laydown.production.summary import produce

Values = NDArray[np.float64]


@dataclass(slots=True)
class _Trial:
    """First reason against the stack, and all that was found on the way."""

    stage: str = ""
    reason: str = ""
    rule: str = ""
    risk: float = 0.0
    failures: dict[str, Values] = field(default_factory=dict)

    def strike(self, stage: str, reason: str, risk: float, rule: str = "") -> None:
        if not self.stage:
            self.stage, self.reason, self.risk, self.rule = stage, reason, risk, rule


def assess(job: Job, stack: Stack, *, whole: bool = False) -> Assessment:
    """Try one candidate.

    Parameters
    ----------
    job : Job
    stack : Stack
    whole : bool
        Go on after a missed requirement, so that the forecast is complete; rules, press, flash and dryer stop it
        all the same.
    """
    verdict = judge(
        job.shop.rules,
        Setting(shop=job.shop, order=job.order, print_=job.print_, cloth=job.cloth, stack=stack),
    )
    trial = _Trial()
    if verdict.struck_by is not None:
        trial.strike("rule", verdict.struck_by.reason, 1.0, verdict.struck_by.name)
        return _result(stack, verdict, trial)
    placements = _placements(job, stack)
    if isinstance(placements, str):
        trial.strike("press", placements, 1.0)
        return _result(stack, verdict, trial)
    return _forecast(job, stack, verdict, placements, trial, whole=whole)


def _result(stack: Stack, verdict: Verdict, trial: _Trial, setup: Setup | None = None) -> Assessment:
    return Assessment(
        stack=stack,
        verdict=verdict,
        stage=trial.stage,
        reason=trial.reason,
        rule=trial.rule,
        risk=trial.risk,
        failures=trial.failures,
        setup=setup,
    )


def _placements(job: Job, stack: Stack) -> list[Placement] | str:
    tried = [
        place(stack, press, print_width=job.print_.width, print_height=job.print_.height) for press in job.shop.presses
    ]
    good = [p for p in tried if not isinstance(p, NoPlace)]
    if good:
        return good
    said = [f"{p.press}: {p.reason}" for p in tried if isinstance(p, NoPlace)]
    return "; ".join(said) or "there is no press on the shelf"


def _forecast(
    job: Job, stack: Stack, verdict: Verdict, placements: list[Placement], trial: _Trial, *, whole: bool
) -> Assessment:
    wanted, samples, cloth = job.order.requirements, job.samples, job.cloth
    allowed = wanted.risk

    def stop() -> bool:
        return bool(trial.stage) and not whole

    def require(stage: str, missed: Values, reason: str) -> None:
        trial.failures[stage] = missed
        if float(missed.mean()) > allowed:
            trial.strike(stage, reason, float(missed.mean()))

    for stage, reason in _plain_reasons(job, stack):
        trial.strike(stage, reason, 1.0)
        if stop():
            return _result(stack, verdict, trial)
    adhesion = judge_adhesion(stack, cloth)
    if not adhesion.holds:
        trial.strike("adhesion", adhesion.reason, 1.0)
    film = build_film(stack, cloth, samples, practice=job.shop.practice)
    toughness, too_weak = lowest_toughness(film, wanted)
    if too_weak:
        trial.strike("wash", reasons.wash(toughness, wanted.wash), 1.0)
    if stop():
        return _result(stack, verdict, trial)
    stretch, cracks = judge_stretch(film, cloth, samples)
    require("stretch", cracks, reasons.stretch(stretch, allowed))
    hand, heavy = judge_hand(film, limit=wanted.hand)
    require("hand", heavy, reasons.hand(hand, float(heavy.mean()), allowed))
    if stop():
        return _result(stack, verdict, trial)
    opacity, pale, outcome = judge_opacity(stack, film, cloth, samples, limit=wanted.opacity, condition=job.condition)
    require("opacity", pale, reasons.opacity(opacity, allowed))
    if stop():
        return _result(stack, verdict, trial)
    setup = _set_up(job, stack, film, placements, trial)
    if setup is None:
        return _result(stack, verdict, trial)
    run = job.dryers.run(setup.dryer_choice, film.total())
    bare = job.dryers.bare(setup.dryer_choice)
    inks = tuple(p.ink for p in stack.inked if p.ink is not None)
    cure, raw, beyond = judge_cure(inks, run, bare, cloth, samples)
    require("cure", raw, reasons.cure(cure, allowed))
    require("cloth limit", beyond, reasons.cloth_limit(cure, allowed))
    if stop():
        return _result(stack, verdict, trial, setup)
    flash_runs, flashes = _flashes(job, stack, film, setup)
    area = _most_sensitive(stack, job.condition)
    if cloth.migrating_share > 0:
        life = thermal_life(
            tuple(flash_runs), run, cloth, job.order.care, job.shop.climate, samples, passages=job.passages
        )
        bleed, stained, outcome = judge_bleed(area, film, cloth, life, samples, wanted, condition=job.condition)
        require("bleed", stained, reasons.bleed(bleed, allowed))
    else:
        note = f"no dye in {cloth.garment.content} that migrates at the dryer (dye: {cloth.garment.dye.value})"
        bleed = no_bleed(area, wanted, note)
    failed = np.max([np.zeros(samples.size), *trial.failures.values()], axis=0)
    fail_risk = float(failed.mean())
    forecast = Forecast(
        passes=describe_passes(film),
        film=percentiles(film.total()),
        film_variation=float(np.median(film.variation)),
        opacity=opacity,
        flashes=flashes,
        heat=median_history(flash_runs[0] if flash_runs else None, run),
        cure=cure,
        bleed=bleed,
        stretch=stretch,
        adhesion=adhesion,
        hand=hand,
        ghosting=judge_ghosting(
            stack,
            cloth,
            humidity=job.shop.climate.humidity.value,
            stacked_hot=job.order.care.stack_hot,
        ),
        drivers=drivers(samples, outcome),
        fail_risk=fail_risk,
    )
    cost = print_cost(
        job.order,
        setup.production,
        setup.placement,
        setup.press,
        job.shop.costs,
        fail_risk=fail_risk,
        buys_blanks=job.first_print,
    )
    return Assessment(
        stack=stack,
        verdict=verdict,
        stage=trial.stage,
        reason=trial.reason,
        rule=trial.rule,
        risk=trial.risk,
        failures=trial.failures,
        setup=setup,
        forecast=forecast,
        outcome=outcome,
        cost=cost,
    )


def _plain_reasons(job: Job, stack: Stack) -> Iterator[tuple[str, str]]:
    """Reasons against a stack that need no samples."""
    finest = job.print_.finest_detail
    if finest is None:
        return
    for pass_ in stack.inked:
        mesh = pass_.screen.mesh
        if mesh is not None and (held := finest_detail(mesh)) > finest:
            yield "detail", reasons.detail(finest, held, mesh.name)
            return


def _set_up(job: Job, stack: Stack, film: Film, placements: list[Placement], trial: _Trial) -> Setup | None:
    """Cheapest press and dryer on which the stack gels and cures; strikes it out when there is none."""
    inks = tuple(p.ink for p in stack.inked if p.ink is not None)
    thickness = float(np.median(film.total()))
    chosen: list[DryerChoice] = []
    refused: list[NoSetting] = []
    for dryer in job.shop.dryers:
        found = job.dryers.find(dryer, thickness, inks, job.order.garment.width)
        (chosen if isinstance(found, DryerChoice) else refused).append(found)  # type: ignore[arg-type]
    if not chosen:
        why = min(refused, key=lambda n: n.short_by).reason if refused else "there is no dryer on the shelf"
        trial.strike("cure", why, 1.0)
        return None
    setups: list[Setup] = []
    ungelled = ""
    for placement in placements:
        press = next(p for p in job.shop.presses if p.name == placement.press)
        seconds: list[float] = []
        for pass_ in _flashed(stack):
            found_seconds = _flash_time(job, film, press_name=press.name, pass_=pass_)
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
        trial.strike("flash", ungelled, 1.0)
        return None
    return min(setups, key=lambda s: s.base_cost.order)


def _flashed(stack: Stack) -> tuple[Pass, ...]:
    return tuple(p for p in stack.passes if p.flash_after)


def _flash_time(job: Job, film: Film, *, press_name: str, pass_: Pass) -> float | None:
    press = next(p for p in job.shop.presses if p.name == press_name)
    gel = pass_.ink.gel_temperature if pass_.ink is not None else None
    if gel is None:
        return None
    return job.flashes.find(press, float(np.median(film.before(pass_))), gel)


def _flashes(job: Job, stack: Stack, film: Film, setup: Setup) -> tuple[list[HeatRun], tuple[FlashForecast, ...]]:
    runs: list[HeatRun] = []
    forecasts: list[FlashForecast] = []
    for pass_, seconds in zip(_flashed(stack), setup.flash_seconds, strict=True):
        gel = pass_.ink.gel_temperature if pass_.ink is not None else None
        if gel is None:
            continue
        run = job.flashes.run(setup.press, film.before(pass_), seconds)
        end = run.coolest[:, -1]
        runs.append(run)
        forecasts.append(
            FlashForecast(
                after=pass_.label,
                seconds=seconds,
                gel_temperature=gel.value,
                film_temperature=percentiles(end),
                risk=float((end < gel.value).mean()),
            )
        )
    return runs, tuple(forecasts)


def _most_sensitive(stack: Stack, condition: str) -> Area:
    """The area on which dye shows first: the one whose ink is lightest."""
    return max(
        visible_areas(stack),
        key=lambda area: float(lab_of(ink_spectra(area.top).full_hiding, condition)[0]),
    )

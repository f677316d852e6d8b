"""Try one candidate stack: rules, press, forecasts, requirements, cost."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from laydown.domain.forecast import (
    AdhesionForecast,
    BleedForecast,
    CureForecast,
    FlashForecast,
    Forecast,
    HandForecast,
    OpacityForecast,
    StretchForecast,
    TemperatureHistory,
)
from laydown.domain.plan import Cost
from laydown.domain.rule import Rule
from laydown.domain.stack import Stack
from laydown.models.adhesion import judge_adhesion
from laydown.models.appearance import Area, judge_opacity, visible_areas
from laydown.models.asked import Asked
from laydown.models.bleed import judge_bleed, no_bleed
from laydown.models.colour import lab_of
from laydown.models.cure import judge_cure, median_history
from laydown.models.film import Film, build_film, describe_passes
from laydown.models.ghosting import judge_ghosting
from laydown.models.hand_and_stretch import judge_hand, judge_stretch, lowest_toughness
from laydown.models.heat import HeatRun
from laydown.models.ink_optics import ink_spectra
from laydown.models.life import Life, thermal_life
from laydown.models.registry import out_of_range
from laydown.models.sampling import percentiles
from laydown.planning import reasons
from laydown.planning.detail import worst_detail
from laydown.planning.facts import Setting
from laydown.planning.information import drivers
from laydown.planning.job import Assessment, Job, Setup, ranked
from laydown.planning.rules.apply import Verdict, judge
from laydown.planning.set_up import flash_forecasts, placements_for, set_up
from laydown.production.cost import print_cost
from laydown.production.placement import Placement

Values = NDArray[np.float64]


def assess(job: Job, stack: Stack, *, whole: bool = False) -> Assessment:
    """Try one candidate.

    Parameters
    ----------
    job : Job
    stack : Stack
    whole : bool
        Go on after a missed requirement, so that the forecast is complete; a rule, or a stack that no press, flash or
        dryer can make, ends the trial all the same.
    """
    begun = begin(job, stack, whole=whole)
    return begun.finish() if isinstance(begun, Begun) else begun


def begin(job: Job, stack: Stack, *, whole: bool = False, rules: tuple[Rule, ...] | None = None) -> Assessment | Begun:
    """Try one candidate as far as its bleed, the dear part.

    Parameters
    ----------
    job, stack, whole
        As `assess` takes them.
    rules : tuple of Rule, optional
        Those of the shop that may say something of the print, where they are known; left out: all.

    Returns
    -------
    Assessment or Begun
        An assessment when it was struck out before.
    """
    verdict = judge(job.shop.rules if rules is None else rules, setting_of(job, stack))
    trial = _Trial(job=job, stack=stack, verdict=verdict, whole=whole)
    try:
        return _go_as_far_as_bleed(trial)
    except _StruckOut:
        return trial.result()


def setting_of(job: Job, stack: Stack) -> Setting:
    """What the shop's rules look at."""
    return Setting(shop=job.shop, order=job.order, print_=job.print_, cloth=job.cloth, stack=stack)


class _StruckOut(Exception):  # a signal within this file, never an error
    """The trial is over."""


@dataclass(slots=True, kw_only=True)
class _Trial:
    """The first reason against a stack, and what was found on the way."""

    job: Job
    stack: Stack
    verdict: Verdict
    whole: bool
    stage: str = ""
    reason: str = ""
    rule: str = ""
    risk: float = 0.0
    failures: dict[str, Values] = field(default_factory=dict)
    sentences: dict[str, str] = field(default_factory=dict)
    setup: Setup | None = None

    def strike(self, stage: str, reason: str, *, risk: float = 1.0, rule: str = "", final: bool = False) -> None:
        """Note the first reason; end the trial unless it is to be gone through as a whole."""
        if not self.stage:
            self.stage, self.reason, self.risk, self.rule = stage, reason, risk, rule
        if final or not self.whole:
            raise _StruckOut

    def require(self, stage: str, missed: Values, reason: str, *, last: bool = False) -> None:
        """Note in which samples a requirement is missed; strike the stack out when they are more than allowed.

        The ``last`` requirement ends nothing: all is computed by then, and a stack that only fails there may be what
        a test would save.
        """
        self.failures[stage], self.sentences[stage] = missed, reason
        risk = float(missed.mean())
        if risk <= self.job.order.requirements.risk:
            return
        if last and not self.stage:
            self.stage, self.reason, self.risk = stage, reason, risk
        elif not last:
            self.strike(stage, reason, risk=risk)

    def decide(self, stage: str, met: bool, reason: str) -> None:
        """Note a requirement that is met in all samples or in none."""
        self.require(stage, np.full(self.job.samples.size, 0.0 if met else 1.0), reason)

    @property
    def fail_risk(self) -> float:
        """Chance to miss any requirement tried so far."""
        return float(np.max([np.zeros(self.job.samples.size), *self.failures.values()], axis=0).mean())

    @property
    def stake(self) -> float:
        """What a failure costs beyond the reprint of this print."""
        return self.job.shop.costs.reprint_factor * self.job.at_stake

    def result(
        self, *, forecast: Forecast | None = None, cost: Cost | None = None, outcome: Values | None = None
    ) -> Assessment:
        """What came out."""
        return Assessment(
            stack=self.stack,
            verdict=self.verdict,
            stage=self.stage,
            reason=self.reason,
            rule=self.rule,
            risk=self.risk,
            setup=self.setup,
            forecast=forecast,
            failures=self.failures,
            sentences=self.sentences,
            outcome=outcome,
            cost=cost,
            softness=self.job.shop.costs.softness,
            stake=self.stake,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Made:
    """What the print is like as it is laid down, before any heat."""

    film: Film
    adhesion: AdhesionForecast
    stretch: StretchForecast
    hand: HandForecast
    opacity: OpacityForecast
    opacity_difference: Values


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A candidate that met everything but bleed, which is still to be forecast.

    Attributes
    ----------
    least_cost, least_rank : float
        What its expected cost and its rank are at least: what bleed will add can only be more.
    """

    trial: _Trial
    made: _Made
    setup: Setup
    life: Life | None
    flashes: tuple[FlashForecast, ...]
    heat: TemperatureHistory
    cure: CureForecast
    range_notes: tuple[tuple[str, ...], tuple[str, ...]]
    least_cost: float
    least_rank: float

    @property
    def stack(self) -> Stack:
        """The candidate."""
        return self.trial.stack

    def set_aside(self, reason: str) -> Assessment:
        """Leave it without a forecast of its bleed, as it is too dear whatever that would be."""
        self.trial.stage, self.trial.reason, self.trial.risk = "cost", reason, 0.0
        return self.trial.result()

    def finish(self) -> Assessment:
        """Forecast its bleed, and put everything together."""
        trial, made = self.trial, self.made
        bleed, outcome = _bleed(trial, made, self.life)
        forecast = Forecast(
            passes=describe_passes(made.film),
            film=percentiles(made.film.total()),
            film_variation=float(np.median(made.film.variation)),
            opacity=made.opacity,
            flashes=self.flashes,
            heat=self.heat,
            cure=self.cure,
            bleed=bleed,
            stretch=made.stretch,
            adhesion=made.adhesion,
            hand=made.hand,
            ghosting=judge_ghosting(
                trial.stack,
                trial.job.cloth,
                humidity=trial.job.shop.climate.humidity.value,
                stacked_hot=trial.job.order.care.stack_hot,
            ),
            drivers=drivers(trial.job.samples, outcome),
            fail_risk=trial.fail_risk,
            out_of_range=self.range_notes[bleed.applies],
        )
        return trial.result(forecast=forecast, cost=_cost(trial, self.setup), outcome=outcome)


def _go_as_far_as_bleed(trial: _Trial) -> Begun:
    job, stack = trial.job, trial.stack
    placements = _printable(trial)
    made = _lay_down(trial)
    setup = set_up(job, stack, made.film, placements)
    if isinstance(setup, tuple):
        stage, reason = setup
        trial.strike(stage, reason, final=True)
        raise _StruckOut
    trial.setup = setup
    run = job.dryers.run(setup.dryer_choice, made.film.total())
    flash_runs, flashes, flashed = flash_forecasts(job, stack, made.film, setup)
    cure = _cure(trial, setup, run, flashed)
    asked = Asked(
        cloth=job.cloth,
        film=made.film,
        dryer=run,
        bare=job.dryers.bare(setup.dryer_choice),
        flashes=flash_runs,
        bleeds=False,
    )
    moves = job.cloth.migrating_share > 0
    life = (
        thermal_life(flash_runs, run, job.cloth, job.order.care, job.shop.climate, job.samples, passages=job.passages)
        if moves
        else None
    )
    least = _cost(trial, setup).order + trial.stake * trial.fail_risk
    film, softness = made.hand.film_areal_mass.p50, job.shop.costs.softness
    return Begun(
        trial=trial,
        made=made,
        setup=setup,
        life=life,
        flashes=flashes,
        heat=median_history(flash_runs, run),
        cure=cure,
        range_notes=(out_of_range(asked), out_of_range(replace(asked, bleeds=moves))),
        least_cost=least,
        least_rank=ranked(least, setup, trial.verdict, film=film, softness=softness),
    )


def _cost(trial: _Trial, setup: Setup) -> Cost:
    """Cost of the print with the risk that is known so far."""
    job = trial.job
    return print_cost(
        job.order,
        setup.production,
        setup.placement,
        setup.press,
        job.shop.costs,
        fail_risk=trial.fail_risk,
        buys_blanks=job.first_print,
    )


def _printable(trial: _Trial) -> list[Placement]:
    """Rules, press and detail: what needs no forecast."""
    struck_by = trial.verdict.struck_by
    if struck_by is not None:
        trial.strike("rule", struck_by.reason, rule=struck_by.name, final=True)
    placements = placements_for(trial.job, trial.stack)
    if isinstance(placements, str):
        trial.strike("press", placements, final=True)
        raise _StruckOut
    worst = worst_detail(trial.job.shop, trial.job.print_, trial.stack)
    if worst is not None and trial.job.holds_detail:
        trial.decide("detail", worst.met, reasons.detail(worst.asked, worst.held, worst.mesh))
    return placements


def _lay_down(trial: _Trial) -> _Made:
    """Film, adhesion, wash, stretch, hand and opacity."""
    job, wanted = trial.job, trial.job.order.requirements
    adhesion = judge_adhesion(trial.stack, job.cloth)
    trial.decide("adhesion", adhesion.holds, adhesion.reason)
    film = build_film(trial.stack, job.cloth, job.samples, practice=job.shop.practice, model=job.laydown_model)
    toughness, too_weak = lowest_toughness(film, wanted)
    trial.decide("wash", not too_weak, reasons.wash(toughness, wanted.wash))
    stretch, cracks = judge_stretch(film, job.cloth, job.samples)
    trial.require("stretch", cracks, reasons.stretch(stretch, wanted.risk))
    hand, heavy = judge_hand(film, limit=wanted.hand)
    trial.require("hand", heavy, reasons.hand(hand, float(heavy.mean()), wanted.risk))
    opacity, pale, difference = judge_opacity(
        trial.stack, film, job.cloth, job.samples, limit=wanted.opacity, condition=job.condition
    )
    trial.require("opacity", pale, reasons.opacity(opacity, wanted.risk))
    return _Made(
        film=film, adhesion=adhesion, stretch=stretch, hand=hand, opacity=opacity, opacity_difference=difference
    )


def _cure(trial: _Trial, setup: Setup, run: HeatRun, flashed: tuple[Values, ...]) -> CureForecast:
    """Cure of the whole film, and the cloth's limit."""
    job, allowed = trial.job, trial.job.order.requirements.risk
    inks = tuple(p.ink for p in trial.stack.inked if p.ink is not None)
    bare = job.dryers.bare(setup.dryer_choice)
    cure, raw, beyond = judge_cure(inks, run, bare, job.cloth, job.samples, flashed=flashed)
    trial.require("cure", raw, reasons.cure(cure, allowed))
    trial.require("cloth limit", beyond, reasons.cloth_limit(cure, allowed))
    return cure


def _bleed(trial: _Trial, made: _Made, life: Life | None) -> tuple[BleedForecast, Values]:
    """Bleed of the most sensitive area, and the outcome whose spread is explained."""
    job, wanted, cloth = trial.job, trial.job.order.requirements, trial.job.cloth
    area = _most_sensitive(trial.stack, job.condition)
    if life is None:
        note = f"no dye in {cloth.garment.content} that migrates at the dryer (dye: {cloth.garment.dye.value})"
        bleed = no_bleed(area, made.film, cloth, job.samples, wanted, note, condition=job.condition)
        return bleed, made.opacity_difference
    bleed, stained, outcome = judge_bleed(area, made.film, cloth, life, job.samples, wanted, condition=job.condition)
    trial.require("bleed", stained, reasons.bleed(bleed, wanted.risk), last=True)
    return bleed, outcome if bleed.applies else made.opacity_difference


def _most_sensitive(stack: Stack, condition: str) -> Area:
    """The area on which dye shows first: the one whose ink is lightest."""
    return max(
        visible_areas(stack),
        key=lambda area: float(lab_of(ink_spectra(area.top).full_hiding, condition)[0]),
    )

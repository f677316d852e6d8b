"""Forecasts with plausible shapes for the tests of the report; nothing here comes from the models."""

from __future__ import annotations

import math

from laydown.domain.forecast import (
    AdhesionForecast,
    BleedDay,
    BleedForecast,
    CureForecast,
    Driver,
    FlashForecast,
    Forecast,
    GhostingForecast,
    HandForecast,
    OpacityForecast,
    PassLaydown,
    Spread,
    StretchForecast,
    TemperatureHistory,
)
from laydown.domain.stack import Stack

DAYS = (0, 1, 2, 7, 14, 30, 60)


def around(value: float, share: float = 0.2) -> Spread:
    return Spread(p10=value * (1 - share), p50=value, p90=value * (1 + share))


def heat() -> TemperatureHistory:
    times, surface, interface, back = [], [], [], []
    film, joint, cloth = 300.0, 300.0, 300.0
    step = 0.5
    for n in range(int(150 / step) + 1):
        time = n * step
        target, pace = 300.0, 0.03
        if 12 <= time < 16.5:
            target, pace = 560.0, 0.11
        if 50 <= time < 112:
            target, pace = 447.0, 0.055
        times.append(time)
        surface.append(film)
        interface.append(joint)
        back.append(cloth)
        film += step * pace * (target - film)
        joint += step * 0.35 * (film - 1.5 - joint)
        cloth += step * 0.16 * (joint - 1.0 - cloth)
    return TemperatureHistory(
        times=tuple(times), film_surface=tuple(surface), interface=tuple(interface), cloth_back=tuple(back)
    )


def bleed(*, applies: bool = True, worst: float = 3.1) -> BleedForecast:
    days = []
    for day in DAYS:
        grown = worst * math.sqrt(day / 60) if applies else 0.0
        grade = 5 - 0.23 * grown
        days.append(
            BleedDay(
                day=float(day),
                difference=Spread(p10=0.55 * grown, p50=grown, p90=1.7 * grown),
                grade=Spread(p10=5 - 1.7 * (5 - grade), p50=grade, p90=5 - 0.55 * (5 - grade)),
                lab=(93.0 - grown, 0.4 + grown, 1.2),
                risk=0.0 if not applies else 0.03 * day / 30,
            )
        )
    return BleedForecast(
        applies=applies,
        area="white",
        days=tuple(days),
        limit_grade=4.0,
        limit_day=30.0,
        risk=0.03 if applies else 0.0,
        screening=True,
        note="" if applies else "cotton with reactive dye: no dye that migrates",
    )


def forecast(stack: Stack, films_um: tuple[float, ...], *, variation: float = 0.18, applies: bool = True) -> Forecast:
    passes = tuple(
        PassLaydown(label=p.label, wet=around(film * 1.5e-6), film=around(film * 1e-6))
        for p, film in zip(stack.inked, films_um, strict=True)
    )
    first = stack.inked[0]
    assert first.ink is not None
    return Forecast(
        passes=passes,
        film=around(sum(films_um) * 1e-6),
        film_variation=variation,
        opacity=OpacityForecast(
            area="white",
            difference=Spread(p10=1.4, p50=2.1, p90=3.2),
            lab=(91.2, -0.6, 1.4),
            target_lab=(93.1, -0.8, 1.2),
            limit=5.0,
            risk=0.004,
        ),
        flashes=(
            FlashForecast(
                after=first.label, seconds=4.5, gel_temperature=385.0, film_temperature=around(392.0, 0.01), risk=0.02
            ),
        ),
        heat=heat(),
        cure=CureForecast(
            ink=first.ink.name,
            needed_temperature=433.15,
            needed_hold=5.0,
            margin=Spread(p10=1.8, p50=6.2, p90=10.9),
            seconds=Spread(p10=4.0, p50=13.0, p90=22.0),
            probe_peak=Spread(p10=434.9, p50=439.4, p90=444.0),
            cloth_peak=Spread(p10=434.2, p50=438.6, p90=443.1),
            cloth_limit=453.15,
            cloth_limit_reason="cotton begins to yellow",
            risk=0.021,
            cloth_risk=0.012,
        ),
        bleed=bleed(applies=applies),
        stretch=StretchForecast(ink=first.ink.name, elongation=around(0.9), cloth=around(0.35), risk=0.003),
        adhesion=AdhesionForecast(ink=first.ink.name, surface="cotton", holds=True, reason="bonds to cotton"),
        hand=HandForecast(film_areal_mass=around(0.085), hand_class="medium", limit="firm"),
        ghosting=GhostingForecast(warned=False, reason=""),
        drivers=(
            Driver(name="diffusion of the dye in the film", share=0.61, test="oven bleed test"),
            Driver(name="dye release of the cloth", share=0.22, test="oven bleed test"),
        ),
        fail_risk=0.062,
    )

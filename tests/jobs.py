"""A print to plan, ready for trying candidates, for the tests of planning."""

from __future__ import annotations

from functools import cache
from typing import Any

from laydown.domain.costs import Climate
from laydown.domain.dryer import Dryer
from laydown.domain.garment import Garment
from laydown.domain.order import Requirements
from laydown.domain.press import Press
from laydown.domain.shop import Shop
from laydown.models.cloth import describe_cloth
from laydown.models.sampling import SampleSet, sample_set
from laydown.planning.dryer_settings import SettingsFinder
from laydown.planning.flash_settings import FlashFinder
from laydown.planning.job import Job
from laydown.planning.wanted import resolve_inks
from small_shop import order, shop


@cache
def samples_of(size: int = 32) -> SampleSet:
    return sample_set(size)


@cache
def _dryers(of: Garment, climate: Climate, dryers: tuple[Dryer, ...], size: int, risk: float) -> SettingsFinder:
    """Searches shared between tests; what it found belongs to these dryers alone."""
    assert len({d.name for d in dryers}) == len(dryers)
    return SettingsFinder(describe_cloth(of), climate, samples_of(size), risk=risk)


@cache
def _flashes(of: Garment, climate: Climate, presses: tuple[Press, ...], size: int, risk: float) -> FlashFinder:
    assert len({p.name for p in presses}) == len(presses)
    return FlashFinder(describe_cloth(of), climate, samples_of(size), risk=risk)


def job(of: Garment | None = None, in_shop: Shop | None = None, *, size: int = 32, **changes: Any) -> Job:
    """Build the job of an order's first print; ``changes`` are those of the order, requirements among them."""
    owner = in_shop or shop()
    asked = order(of, **changes)
    cloth = describe_cloth(asked.garment)
    wanted, _ = resolve_inks(owner, asked.prints[0], condition=owner.preferences.condition)
    risk = asked.requirements.risk
    return Job(
        shop=owner,
        order=asked,
        print_=asked.prints[0],
        cloth=cloth,
        wanted=wanted,
        samples=samples_of(size),
        dryers=_dryers(asked.garment, owner.climate, owner.dryers, size, risk),
        flashes=_flashes(asked.garment, owner.climate, owner.presses, size, risk),
    )


LENIENT = Requirements(opacity=40.0, bleed_grade=1.0, hand="heavy", wash=1)
"""Requirements that hardly any print misses."""

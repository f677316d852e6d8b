"""Why the chosen stack was chosen, in sentences that a printer would say."""

from __future__ import annotations

from laydown.domain.forecast import BleedDay, Forecast
from laydown.domain.garment import Dye
from laydown.domain.ink import InkKind
from laydown.domain.stack import Role
from laydown.models.adhesion import surface_of
from laydown.planning import reasons
from laydown.planning.agreement import white_of
from laydown.planning.choice import Choice
from laydown.planning.job import Assessment
from laydown.units import to_percent

STRETCHY = 0.55
"""From this working stretch on, the stretch of the ink is worth a word."""


def why(choice: Choice) -> tuple[str, ...]:
    """Reasons for the chosen stack, the deciding one first; empty when nothing passes."""
    best = choice.best
    if best is None or best.forecast is None:
        return ()
    f = best.forecast
    cover = f"covers: {f.opacity.area} ends {f.opacity.difference.p50:.1f} ΔE00 from its full colour"
    said = [headline(choice, best, f), f"{cover}; hand {f.hand.hand_class}"]
    if f.bleed.applies:
        day = _judged(f)
        said.append(
            f"holds the dye: grade {day.grade.p50:.1f} after {day.day:g} days, below {f.bleed.limit_grade:g} "
            f"{reasons.chance(f.bleed.risk)}"
        )
    else:
        said.append(f.bleed.note)
    said.extend(rule.reason for rule in best.verdict.preferred)
    cheaper = _cheaper_loser(choice, best)
    if cheaper is not None:
        said.append(f"the cheaper {cheaper.stack.label} was left: {cheaper.reason}")
    passing, aside = len(choice.passing), len(choice.set_aside)
    best_of = (
        f"best of {passing:,} stacks that meet every requirement, by expected cost and softness,"
        if passing > 1
        else "the only stack that meets every requirement"
    )
    dearer = f"; {aside:,} more were too dear for a forecast of their bleed" if aside else ""
    said.append(f"{best_of} out of {choice.considered:,} that the shelves allow{dearer}")
    return tuple(dict.fromkeys(said))


def headline(choice: Choice, best: Assessment, forecast: Forecast) -> str:
    """The one reason that decided."""
    white = white_of(best)
    dye = choice.job.order.garment.dye
    surface = surface_of(choice.job.cloth).value
    if best.stack.passes[0].role is Role.BARRIER and dye in {Dye.SUBLIMATED, Dye.CAMOUFLAGE}:
        said = f"{dye.value} dye goes through any white: a flashed barrier first, then {white}"
    elif choice.job.cloth.working_stretch.value >= STRETCHY:
        ink, cloth = (to_percent(s.p50) for s in (forecast.stretch.elongation, forecast.stretch.cloth))
        said = f"stretches {ink:.0f} %, the cloth {cloth:.0f} %, and holds on {surface}"
    elif surface in {"nylon", "coated"}:
        said = f"{white or 'it'} holds on {surface} and is tough"
    elif not white:
        said = "covers on this cloth without a white"
    elif not forecast.bleed.applies:
        said = f"no dye migrates from this cloth: {_without_blocker(choice, white)}"
    else:
        said = _dye_reason(choice, best, forecast)
    return said


def _without_blocker(choice: Choice, white: str) -> str:
    """Why this white, where none has to block."""
    if choice.agreed:
        return f"no blocker is needed, and {white} is what the order's other prints take"
    plain = {i.name: i.price for a in choice.passing for i in a.stack.inks if i.kind is InkKind.WHITE and not i.blocks}
    if plain.get(white) == min(plain.values(), default=None):
        return "the plainest white that covers and stays soft will do"
    return f"no blocker is needed, and {white} does best on cost, softness and the risk of a reprint together"


def _dye_reason(choice: Choice, best: Assessment, forecast: Forecast) -> str:
    """Compare with the closest weaker stack that fails by bleed."""
    kept, weaker = _judged(forecast), _weaker_that_bleeds(choice, best)
    if weaker is None or weaker.forecast is None:
        return f"little of this dye moves: grade {kept.grade.p50:.1f} on day {kept.day:g}"
    lost = _judged(weaker.forecast)
    name = white_of(weaker)
    if name == white_of(best):
        name += " without a barrier"
    return (
        f"{name} would let the dye through (grade {lost.grade.p50:.1f} on day {lost.day:g}, misses "
        f"{reasons.chance(weaker.risk)}); this stack holds it at {kept.grade.p50:.1f}"
    )


def _judged(forecast: Forecast) -> BleedDay:
    """The day the requirement is about."""
    return next(d for d in forecast.bleed.days if d.day == forecast.bleed.limit_day)


def _weaker_that_bleeds(choice: Choice, best: Assessment) -> Assessment | None:
    """Among whites that block less than the chosen one and fail by bleed, the one that comes closest."""
    capacity = max(ink.capacity.value for ink in best.stack.inks)
    lost = [
        a
        for a in choice.failing
        if a.stage == "bleed" and a.forecast and max(ink.capacity.value for ink in a.stack.inks) < capacity
    ]
    return min(lost, key=lambda a: a.risk, default=None)


def _cheaper_loser(choice: Choice, best: Assessment) -> Assessment | None:
    """The cheapest stack to make that failed only on the forecast, when it would have been cheaper."""
    if best.setup is None:
        return None
    base = best.setup.base_cost.order
    lost = [(a.setup.base_cost.order, i, a) for i, a in enumerate(choice.failing) if a.setup is not None]
    cheaper = [entry for entry in lost if entry[0] < base]
    return min(cheaper)[2] if cheaper else None

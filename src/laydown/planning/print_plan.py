"""From a choice to the plan of one print."""

from __future__ import annotations

from laydown.domain.plan import DryerSettings, PassSettings, PrintPlan, Settings
from laydown.planning.choice import Choice, alternatives, rejected, shortfalls
from laydown.planning.detail import detail_notes
from laydown.planning.job import Assessment
from laydown.planning.press_rules import press_rules
from laydown.planning.why import why


def plan_print(choice: Choice) -> PrintPlan:
    """Write down the plan of one print; without a passing stack it holds the shortfalls and the closest forecast."""
    best = choice.best
    shown = best or next(iter(choice.computed), None)
    return PrintPlan(
        place=choice.job.print_.place,
        stack=best.stack if best else None,
        why=why(choice),
        confidence=1.0 - best.forecast.fail_risk if best and best.forecast else 0.0,
        settings=_settings(best, choice) if best else None,
        forecast=shown.forecast if shown else None,
        production=best.setup.production if best and best.setup else None,
        cost=best.cost if best else None,
        alternatives=alternatives(choice),
        rejected=rejected(choice),
        shortfalls=shortfalls(choice),
        considered=choice.considered,
    )


def press_warnings(choice: Choice) -> tuple[str, ...]:
    """What the press rules warn of for the chosen stack."""
    if choice.best is None:
        return ()
    structure = choice.job.order.garment.structure
    said = (press_rules(p, structure).warning for p in choice.best.stack.passes)
    return tuple(dict.fromkeys(s for s in said if s))


def art_warnings(choice: Choice) -> tuple[str, ...]:
    """Say what of the measured art the chosen stack will not hold."""
    if choice.best is None or choice.job.print_.art is None:
        return ()
    return detail_notes(choice.job.shop, choice.job.print_, choice.best.stack)


def _settings(best: Assessment, choice: Choice) -> Settings | None:
    setup, forecast = best.setup, best.forecast
    if setup is None or forecast is None:
        return None
    seconds = iter(setup.flash_seconds)
    rows: list[PassSettings] = []
    for pass_, placed in zip(best.stack.passes, setup.placement.passes, strict=True):
        rules = press_rules(pass_, choice.job.order.garment.structure)
        rows.append(
            PassSettings(
                head=placed.head,
                revolution=placed.revolution,
                squeegee_shore=rules.shore,
                squeegee_note=rules.note,
                off_contact=rules.off_contact,
                tension_low=rules.tension_low,
                tension_high=rules.tension_high,
                emulsion_over_mesh=rules.emulsion_over_mesh,
                flash_head=placed.flash_head,
                flash_seconds=next(seconds) if pass_.flash_after else None,
                sources=rules.sources,
            )
        )
    choice_ = setup.dryer_choice
    probe = forecast.cure.probe_peak
    return Settings(
        press=setup.press.name,
        revolutions=setup.placement.revolutions,
        passes=tuple(rows),
        dryer=DryerSettings(
            dryer=setup.dryer.name,
            panel_temperature=choice_.setting,
            belt_speed=choice_.speed,
            dwell=setup.dryer.length / choice_.speed,
            probe_low=probe.p10,
            probe_high=probe.p90,
        ),
    )

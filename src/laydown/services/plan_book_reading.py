"""A plan's JSON read back into a plan, so that a kept one can be shown, changed and printed again.

The JSON holds nine significant digits, so what is read back is the plan to within a billionth; written down again it is
the same text.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from laydown import units
from laydown.domain.finding import Level
from laydown.domain.plan import (
    Alternative,
    Assumption,
    Cost,
    DryerSettings,
    InkAmount,
    PassSettings,
    Plan,
    PrintPlan,
    Production,
    Provenance,
    Rejected,
    RestsOn,
    Settings,
    Shortfall,
    TestToRun,
)
from laydown.domain.quantity import Grade, Quantity
from laydown.domain.shop import Shop
from laydown.domain.stack import Pass, Role, Stack
from laydown.services.plan_book_reading_forecast import read_forecast
from laydown.services.plan_book_reading_order import read_order_document

if TYPE_CHECKING:
    from laydown.documents import plan_schema as schema


def plan_from_json(text: str, shop: Shop) -> Plan:
    """Plan of its JSON text.

    Parameters
    ----------
    text : str
        By the published schema.
    shop : Shop
        The shop that the plan rests on; its shelves give the inks and screens that the text names.

    Raises
    ------
    InvalidInput
        When the text is no plan.
    NotFound
        When the shop has not what the plan names.
    """
    import json

    from laydown.documents.plan_schema import PlanDocument
    from laydown.documents.sentences import validated
    from laydown.errors import InvalidInput

    try:
        document = json.loads(text)
    except ValueError:
        raise InvalidInput("this is no plan by the published schema", where="plan") from None
    found = validated(PlanDocument, document, where="plan")
    return Plan(
        order=read_order_document(found.order),
        prints=tuple(_print(one, shop) for one in found.prints),
        cost=_cost(found.cost),
        tests=tuple(_test(one) for one in found.tests),
        decisive=found.decisive,
        cautions=found.cautions,
        assumptions=tuple(_assumption(one) for one in found.assumptions),
        inputs=tuple((one.path, _assumption(one)) for one in found.inputs),
        provenance=tuple(
            Provenance(path=p.path, model=p.model, page=p.page, range_note=p.range_note, inputs=p.inputs)
            for p in found.provenance
        ),
        seed=found.meta.seed,
        samples=found.meta.samples,
        version=found.meta.version,
        rests_on=_rests_on(found.rests_on),
    )


def _rests_on(found: schema.RestsOnDocument | None) -> RestsOn | None:
    if found is None:
        return None
    return RestsOn(
        level=Level(found.level),
        about=found.about,
        swatches=found.swatches,
        readings=found.readings,
        fitted_at=found.fitted_at,
        notes=found.notes,
    )


def _print(one: schema.PrintPlanDocument, shop: Shop) -> PrintPlan:
    return PrintPlan(
        place=one.place,
        stack=_stack(one.choice, shop) if one.choice else None,
        why=one.why,
        confidence=one.confidence,
        settings=_settings(one.settings) if one.settings else None,
        forecast=read_forecast(one.forecast) if one.forecast else None,
        production=_production(one.production) if one.production else None,
        cost=_cost(one.cost),
        alternatives=tuple(
            Alternative(
                stack=_stack(other.stack, shop),
                expected_cost=other.expected_cost,
                fail_risk=other.fail_risk,
                reason=other.reason,
            )
            for other in one.alternatives
        ),
        rejected=tuple(
            Rejected(
                stack=other.stack,
                stage=other.stage,
                reason=other.reason,
                rule=other.rule,
                expected_cost=other.expected_cost,
            )
            for other in one.rejected
        ),
        shortfalls=tuple(
            Shortfall(requirement=s.requirement, closest=s.closest, by=s.by, remedy=s.remedy) for s in one.shortfalls
        ),
        considered=one.considered,
    )


def _stack(one: schema.StackDocument, shop: Shop) -> Stack:
    return Stack(
        passes=tuple(
            Pass(
                role=Role(p.role),
                ink=shop.ink(p.ink) if p.ink is not None else None,
                screen=shop.screen(p.screen),
                hits=p.hits,
                flash_after=p.flash,
                coverage=p.coverage,
                additive=shop.ink(p.additive) if p.additive is not None else None,
                additive_share=units.from_percent(p.additive_percent),
                shows=p.shows,
                on_cloth=p.on_cloth,
                edge_length=p.edge_m_per_m2,
            )
            for p in one.passes
        )
    )


def _settings(one: schema.SettingsDocument) -> Settings:
    dryer = one.dryer
    return Settings(
        press=one.press,
        revolutions=one.revolutions,
        passes=tuple(
            PassSettings(
                head=p.head,
                revolution=p.revolution,
                squeegee_shore=p.squeegee_shore,
                squeegee_note=p.squeegee_note,
                off_contact=units.from_mm(p.off_contact_mm),
                tension_low=units.from_n_per_cm(p.tension_low_n_per_cm),
                tension_high=units.from_n_per_cm(p.tension_high_n_per_cm),
                emulsion_over_mesh=units.from_micron(p.emulsion_over_mesh_um),
                flash_head=p.flash_head,
                flash_seconds=p.flash_s,
                sources=p.sources,
            )
            for p in one.passes
        ),
        dryer=DryerSettings(
            dryer=dryer.dryer,
            panel_temperature=units.from_celsius(dryer.panel_temperature_c),
            belt_speed=units.from_metre_per_minute(dryer.belt_m_per_min),
            dwell=dryer.dwell_s,
            probe_low=units.from_celsius(dryer.probe_low_c),
            probe_high=units.from_celsius(dryer.probe_high_c),
        ),
    )


def _production(one: schema.ProductionDocument) -> Production:
    return Production(
        press=one.press,
        cycle_time=one.cycle_s,
        cycle_terms=tuple((term.name, term.seconds) for term in one.cycle_terms),
        revolutions=one.revolutions,
        press_rate=units.from_per_hour(one.press_per_h),
        dryer_rate=units.from_per_hour(one.dryer_per_h),
        rate=units.from_per_hour(one.pieces_per_h),
        bottleneck=one.bottleneck,
        set_up_time=units.from_minute(one.set_up_min),
        run_time=units.from_minute(one.run_min),
        inks=tuple(
            InkAmount(
                ink=ink.ink,
                role=ink.role,
                per_piece=units.from_gram(ink.per_piece_g),
                total=units.from_gram(ink.total_g),
                cost=ink.cost,
            )
            for ink in one.inks
        ),
    )


def _cost(one: schema.CostDocument | None) -> Cost | None:
    if one is None:
        return None
    terms = tuple((term.name, term.amount) for term in one.terms)
    return Cost(currency=one.currency, terms=terms, order=one.order, piece=one.piece, price=one.price)


def _test(one: schema.TestDocument) -> TestToRun:
    return TestToRun(
        name=one.name,
        why=one.why,
        how=one.how,
        read_after=units.from_hour(one.read_after_h),
        read_on=one.read_on,
        worth=one.worth,
        cost=one.cost,
        source=one.source,
    )


def _assumption(one: schema.AssumptionDocument) -> Assumption:
    q = one.quantity_si
    quantity = Quantity(value=q.value, low=q.low, high=q.high, grade=Grade(q.grade), source=q.source)
    return Assumption(name=one.name, shown=one.shown, quantity=quantity)

"""A plan as a document, in people's units, and as JSON text."""

from __future__ import annotations

import json

from laydown.documents.forecast_document import forecast_document
from laydown.documents.order_echo import order_document
from laydown.documents.plan_parts import AmountDocument, quantity_document, shown, shown_or_none
from laydown.documents.plan_schema import (
    AlternativeDocument,
    AssumptionDocument,
    CostDocument,
    CycleTermDocument,
    DryerSettingsDocument,
    InkAmountDocument,
    InputDocument,
    MetaDocument,
    PassDocument,
    PassSettingsDocument,
    PlanDocument,
    PrintPlanDocument,
    ProductionDocument,
    ProvenanceDocument,
    RejectedDocument,
    RestsOnDocument,
    SettingsDocument,
    ShortfallDocument,
    StackDocument,
    TestDocument,
)
from laydown.domain.plan import (
    Assumption,
    Cost,
    PassSettings,
    Plan,
    PrintPlan,
    Production,
    RestsOn,
    Settings,
    TestToRun,
)
from laydown.domain.stack import Pass, Stack
from laydown.units import (
    to_celsius,
    to_gram,
    to_hour,
    to_metre_per_minute,
    to_micron,
    to_minute,
    to_mm,
    to_n_per_cm,
    to_per_hour,
    to_percent,
)


def plan_document(plan: Plan) -> PlanDocument:
    """Document of a plan."""
    return PlanDocument(
        order=order_document(plan.order),
        complete=plan.complete,
        prints=tuple(_print(one) for one in plan.prints),
        cost=_cost(plan.cost),
        tests=tuple(_test(test) for test in plan.tests),
        decisive=plan.decisive,
        cautions=plan.cautions,
        assumptions=tuple(_assumption(one) for one in plan.assumptions),
        inputs=tuple(
            InputDocument(path=path, **_assumption(one).model_dump(mode="python")) for path, one in plan.inputs
        ),
        provenance=tuple(
            ProvenanceDocument(
                path=one.path, model=one.model, page=one.page, range_note=one.range_note, inputs=one.inputs
            )
            for one in plan.provenance
        ),
        meta=MetaDocument(seed=plan.seed, samples=plan.samples, version=plan.version),
        rests_on=_rests_on(plan.rests_on),
    )


def plan_to_json(plan: Plan) -> str:
    """JSON text of a plan, by the schema that `laydown.documents.schemas.plan_schema` publishes.

    The keys stand in the schema's order and the text ends with a line break; the same plan gives the same text.

    Raises
    ------
    ValueError
        When a number of the plan is not finite.
    """
    return json.dumps(plan_document(plan).model_dump(mode="json"), indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def stack_document(stack: Stack) -> StackDocument:
    """Document of a stack."""
    return StackDocument(label=stack.label, passes=tuple(_pass(one) for one in stack.passes))


def _pass(one: Pass) -> PassDocument:
    return PassDocument(
        role=str(one.role),
        ink=one.ink.name if one.ink else None,
        additive=one.additive.name if one.additive else None,
        additive_percent=shown(one.additive_share, to_percent),
        screen=one.screen.name,
        mesh=one.screen.mesh.name if one.screen.mesh else None,
        hits=one.hits,
        flash=one.flash_after,
        coverage=shown(one.coverage),
        shows=shown_or_none(one.shows),
        on_cloth=one.on_cloth,
        edge_m_per_m2=shown(one.edge_length),
    )


def _rests_on(found: RestsOn | None) -> RestsOnDocument | None:
    if found is None:
        return None
    return RestsOnDocument(
        level=str(found.level),
        about=found.about,
        swatches=found.swatches,
        readings=found.readings,
        fitted_at=found.fitted_at,
        notes=found.notes,
    )


def _print(one: PrintPlan) -> PrintPlanDocument:
    return PrintPlanDocument(
        place=one.place,
        choice=stack_document(one.stack) if one.stack else None,
        why=one.why,
        confidence=shown(one.confidence),
        settings=_settings(one.settings) if one.settings else None,
        forecast=forecast_document(one.forecast) if one.forecast else None,
        production=_production(one.production) if one.production else None,
        cost=_cost(one.cost),
        alternatives=tuple(
            AlternativeDocument(
                stack=stack_document(other.stack),
                expected_cost=shown(other.expected_cost),
                fail_risk=shown(other.fail_risk),
                reason=other.reason,
            )
            for other in one.alternatives
        ),
        rejected=tuple(
            RejectedDocument(
                stack=other.stack,
                stage=other.stage,
                reason=other.reason,
                rule=other.rule,
                expected_cost=shown_or_none(other.expected_cost),
            )
            for other in one.rejected
        ),
        shortfalls=tuple(
            ShortfallDocument(requirement=s.requirement, closest=s.closest, by=s.by, remedy=s.remedy)
            for s in one.shortfalls
        ),
        considered=one.considered,
    )


def _settings(settings: Settings) -> SettingsDocument:
    dryer = settings.dryer
    return SettingsDocument(
        press=settings.press,
        revolutions=settings.revolutions,
        passes=tuple(_pass_settings(one) for one in settings.passes),
        dryer=DryerSettingsDocument(
            dryer=dryer.dryer,
            panel_temperature_c=shown(dryer.panel_temperature, to_celsius),
            belt_m_per_min=shown(dryer.belt_speed, to_metre_per_minute),
            dwell_s=shown(dryer.dwell),
            probe_low_c=shown(dryer.probe_low, to_celsius),
            probe_high_c=shown(dryer.probe_high, to_celsius),
        ),
    )


def _pass_settings(one: PassSettings) -> PassSettingsDocument:
    return PassSettingsDocument(
        head=one.head,
        revolution=one.revolution,
        squeegee_shore=(shown(one.squeegee_shore[0]), shown(one.squeegee_shore[1])),
        squeegee_note=one.squeegee_note,
        off_contact_mm=shown(one.off_contact, to_mm),
        tension_low_n_per_cm=shown(one.tension_low, to_n_per_cm),
        tension_high_n_per_cm=shown(one.tension_high, to_n_per_cm),
        emulsion_over_mesh_um=shown(one.emulsion_over_mesh, to_micron),
        flash_head=one.flash_head,
        flash_s=shown_or_none(one.flash_seconds),
        sources=one.sources,
    )


def _production(production: Production) -> ProductionDocument:
    return ProductionDocument(
        press=production.press,
        cycle_s=shown(production.cycle_time),
        cycle_terms=tuple(
            CycleTermDocument(name=name, seconds=shown(seconds)) for name, seconds in production.cycle_terms
        ),
        revolutions=production.revolutions,
        press_per_h=shown(production.press_rate, to_per_hour),
        dryer_per_h=shown(production.dryer_rate, to_per_hour),
        pieces_per_h=shown(production.rate, to_per_hour),
        bottleneck=production.bottleneck,
        set_up_min=shown(production.set_up_time, to_minute),
        run_min=shown(production.run_time, to_minute),
        inks=tuple(
            InkAmountDocument(
                ink=one.ink,
                role=one.role,
                per_piece_g=shown(one.per_piece, to_gram),
                total_g=shown(one.total, to_gram),
                cost=shown(one.cost),
            )
            for one in production.inks
        ),
    )


def _cost(cost: Cost | None) -> CostDocument | None:
    if cost is None:
        return None
    return CostDocument(
        currency=cost.currency,
        terms=tuple(AmountDocument(name=name, amount=shown(amount)) for name, amount in cost.terms),
        order=shown(cost.order),
        piece=shown(cost.piece),
        price=shown(cost.price),
    )


def _test(test: TestToRun) -> TestDocument:
    return TestDocument(
        name=test.name,
        why=test.why,
        how=test.how,
        read_after_h=shown(test.read_after, to_hour),
        read_on=test.read_on,
        worth=shown(test.worth),
        cost=shown(test.cost),
        source=test.source,
    )


def _assumption(one: Assumption) -> AssumptionDocument:
    return AssumptionDocument(name=one.name, shown=one.shown, quantity_si=quantity_document(one.quantity))

"""Cautions that every plan shows, and those that this one adds."""

from __future__ import annotations

from laydown.planning.choice import Choice

ALWAYS = (
    (
        "Dryers and flashes burn people and start fires: never leave one running alone, keep the way out free, let "
        "pallets and garments cool before you touch them."
    ),
    (
        "Hot ink gives off fumes, and overheated plastisol gives off hydrogen chloride: exhaust the dryer; local codes "
        "decide."
    ),
    "Follow each product's safety data sheet; where its data sheet differs from this plan, the data sheet is right.",
    (
        "For children's wear, limits on phthalates and lead are proved by the ink lot's own laboratory report, never "
        "by this plan (16 CFR 1303 and 1307, CPSIA 108; REACH annex XVII, entries 51 and 52)."
    ),
    "Never make the dryer hotter to shorten the dwell on polyester.",
)
"""Usual cautions; they defer to local codes, data sheets and licensed practice."""

NO_PRICE = "No price of the blank garment is known, so cost and reprint count it as nothing: add price to the garment."

SCREENING = (
    "A screening estimate until this cloth lot has passed its own test: no published diffusion of disperse dye in "
    "cured plastisol was found. Judge bleed only after the waiting time; a pass on one colour or lot says nothing "
    "about another."
)


def cautions(choices: tuple[Choice, ...], notes: tuple[str, ...]) -> tuple[str, ...]:
    """All cautions of an order, each once: what the rules warn of first, then the usual ones."""
    found: list[str] = []
    for choice in choices:
        best = choice.best
        if best is None:
            continue
        found += [rule.reason for rule in best.verdict.warnings]
        if best.forecast is not None and best.forecast.bleed.applies and best.forecast.bleed.screening:
            found.append(SCREENING)
        if best.forecast is not None and best.forecast.ghosting.warned and not any("GHOSTING" in c for c in found):
            found.append(f"GHOSTING: {best.forecast.ghosting.reason}")
        if best.forecast is not None:
            found += [f"Outside what a model covers: {said}." for said in best.forecast.out_of_range]
        if not choice.job.order.garment.price:
            found.append(NO_PRICE)
        missing = [ink.name for ink in best.stack.inks if not ink.compliance_document]
        if missing:
            found.append(f"No compliance document is on file for {', '.join(missing)}.")
    return tuple(dict.fromkeys((*found, *notes, *ALWAYS)))

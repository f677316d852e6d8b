"""Whether the first ink down holds on a surface: by what its maker says it bonds to."""

from __future__ import annotations

from laydown.domain.forecast import AdhesionForecast
from laydown.domain.ink import Bond
from laydown.domain.stack import Stack
from laydown.models.cloth import Cloth

NYLON_SHARE = 0.5
"""From this share of nylon on, a cloth's face counts as nylon. Assumed."""


def surface_of(cloth: Cloth) -> Bond:
    """Surface that an ink has to hold on."""
    content = cloth.garment.content
    if cloth.garment.coated:
        return Bond.COATED
    if content.share("nylon") >= NYLON_SHARE:
        return Bond.NYLON
    return Bond.POLYESTER if content.share("polyester") >= 0.5 else Bond.COTTON


def judge_adhesion(stack: Stack, cloth: Cloth) -> AdhesionForecast:
    """Compare what the first ink (with its additive) bonds to with the cloth's surface."""
    first = stack.inked[0]
    surface = surface_of(cloth)
    bonds: frozenset[Bond] = frozenset()
    for ink in (first.ink, first.additive):
        if ink is not None:
            bonds |= ink.bonds
    holds = surface in bonds
    name = first.ink.name if first.ink else ""
    on = {Bond.COATED: "coated cloth"}.get(surface, surface.value)
    reason = f"{name} is made to hold on {on}" if holds else f"{name} is not made for {on} and would peel off"
    return AdhesionForecast(ink=name, surface=surface.value, holds=holds, reason=reason)

"""Ghosting: a rule with a test, not a forecast.

Reactive blockers can discolour some cotton dyes; light and earth-tone cloth shows it, heat, pressure and humid air
help it (trade press, published). There is no rate to compute with, so the answer is a warning and a test.
"""

from __future__ import annotations

from laydown.domain.forecast import GhostingForecast
from laydown.domain.ink import Blocker
from laydown.domain.stack import Stack
from laydown.models.cloth import Cloth

LIGHT = 45.0
"""CIELAB L* from which a discoloured patch is seen on plain cloth. Assumed."""


def is_earth_tone(cloth: Cloth) -> bool:
    """Whether a cloth is brown, tan, olive or sand. The bounds in CIELAB are assumed."""
    return 20 <= cloth.lightness <= 85 and 8 <= cloth.chroma <= 50 and 35 <= cloth.hue_degrees <= 115


def judge_ghosting(stack: Stack, cloth: Cloth, *, humidity: float, stacked_hot: bool) -> GhostingForecast:
    """Warn when a reactive blocker lies on cotton that shows it."""
    reactive = [ink.name for ink in stack.inks if ink.blocker is Blocker.REACTIVE]
    cotton = cloth.garment.content.share("cotton")
    if not reactive:
        return GhostingForecast(warned=False, reason="no reactive blocker in the stack: it cannot ghost")
    if cotton < 0.5:
        return GhostingForecast(warned=False, reason="too little cotton in the cloth for ghosting")
    if cloth.lightness < LIGHT and not is_earth_tone(cloth):
        return GhostingForecast(warned=False, reason="the cloth is too dark for a ghost to show")
    helped = [word for word, true in (("humid air", humidity >= 0.6), ("warm piles", stacked_hot)) if true]
    more = f"; {' and '.join(helped)} will help it" if helped else ""
    kind = "earth-tone" if is_earth_tone(cloth) else "light"
    return GhostingForecast(warned=True, reason=f"{reactive[0]} has a reactive blocker and the cotton is {kind}{more}")

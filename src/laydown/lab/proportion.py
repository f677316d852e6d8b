"""How sure a share is that was counted: Wilson's interval, the exact one, and Jeffreys'."""

from __future__ import annotations

import math

from laydown.errors import InvalidInput

USUAL = 0.9
"""Chance that an interval holds the true share, where nothing else is asked for."""


def wilson_interval(events: float, of: float, *, chance: float = USUAL) -> tuple[float, float]:
    """Interval of a share by the score test.

    Parameters
    ----------
    events, of : float
        ``events`` of ``of``; 0 of 0 gives the whole range.
    chance : float
        0.5 to 0.999.

    Returns
    -------
    float, float

    Raises
    ------
    InvalidInput
        When there are more events than chances for one.

    References
    ----------
    E. B. Wilson, "Probable inference, the law of succession, and statistical inference", J. Am. Stat. Assoc. 22 (1927)
    209-212; recommended for small counts by R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872.
    """
    _check(events, of, chance)
    if of == 0:
        return 0.0, 1.0
    z = _quantile(chance)
    p = events / of
    middle = (p + z * z / (2 * of)) / (1 + z * z / of)
    half = z * math.sqrt(p * (1 - p) / of + z * z / (4 * of * of)) / (1 + z * z / of)
    low = 0.0 if events == 0 else max(0.0, middle - half)
    return low, 1.0 if events == of else min(1.0, middle + half)


def exact_interval(events: int, of: int, *, chance: float = USUAL) -> tuple[float, float]:
    """Interval whose ends each have the counted result or one beyond it with half the remaining chance.

    Parameters and errors as for `wilson_interval`; C. J. Clopper and E. S. Pearson, Biometrika 26 (1934) 404-413.
    """
    from scipy.special import betaincinv

    _check(events, of, chance)
    tail = (1 - chance) / 2
    low = 0.0 if events == 0 else float(betaincinv(events, of - events + 1, tail))
    high = 1.0 if events == of else float(betaincinv(events + 1, of - events, 1 - tail))
    return low, high


def jeffreys_interval(events: int, of: int, *, chance: float = USUAL) -> tuple[float, float]:
    """Interval of the posterior under Jeffreys' prior, a beta distribution of ½ and ½; its ends reach 0 and 1.

    Parameters and errors as for `wilson_interval`; L. D. Brown, T. T. Cai and A. DasGupta, Statistical Science 16
    (2001) 101-133.
    """
    from scipy.special import betaincinv

    _check(events, of, chance)
    tail = (1 - chance) / 2
    low = 0.0 if events == 0 else float(betaincinv(events + 0.5, of - events + 0.5, tail))
    high = 1.0 if events == of else float(betaincinv(events + 0.5, of - events + 0.5, 1 - tail))
    return low, high


def _quantile(chance: float) -> float:
    from scipy.special import ndtri

    return float(ndtri((1 + chance) / 2))


def _check(events: float, of: float, chance: float) -> None:
    if not (math.isfinite(events) and math.isfinite(of) and 0 <= events <= of):
        raise InvalidInput(f"{events:g} of {of:g} is no share; the first number is at most the second, both from 0")
    if not 0.5 <= chance <= 0.999:
        raise InvalidInput(f"the chance of an interval is {chance:g}; allowed is 0.5 to 0.999")

"""What tone a dot on the film becomes in print, and which dot a wanted tone needs."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from laydown import units
from laydown.domain.validity import named, share
from laydown.errors import InvalidInput

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class ToneCurve:
    """Print tone by film tone, straight between the patches of a strip.

    Attributes
    ----------
    name : str
        Where it comes from, as it stands on the film.
    film, printed : tuple of float
        Inked shares of the patches; ``film`` rises, and so does ``printed`` except that several of the lightest
        patches may print nothing and several of the darkest may close up. Nothing prints nothing and solid prints
        solid: both ends are added where they are not given.

    Raises
    ------
    InvalidInput
        When a share lies outside 0 to 1, there are fewer than 3 patches, or the tones do not rise.
    """

    name: str
    film: tuple[float, ...]
    printed: tuple[float, ...]

    def __post_init__(self) -> None:
        named("a tone curve", self.name)
        where = f"tone curve {self.name!r}"
        if len(self.film) != len(self.printed) or len(self.film) < 3:
            raise InvalidInput(
                "a strip needs at least 3 patches, each with its film tone and its print tone", where=where
            )
        for label, tones in (("film", self.film), ("print", self.printed)):
            for tone in tones:
                share(f"{where}: a {label} tone", tone)
        for i in range(1, len(self.film)):
            before, after = self.film[i - 1], self.film[i]
            if after <= before:
                raise InvalidInput(
                    f"the film tone {_told(after)} follows {_told(before)}; film tones must rise", where=where
                )
            low, high = self.printed[i - 1], self.printed[i]
            if high < low or (high == low and 0 < low < 1):
                raise InvalidInput(
                    f"the patch of {_told(after)} prints {_told(high)}, but the lighter one of {_told(before)} prints "
                    f"{_told(low)}; print tones must rise with film tones, so measure these two patches again",
                    where=where,
                )

    @property
    def gains(self) -> bool:
        """Whether any tone prints other than it stands on the film."""
        return self.film != self.printed

    def print_of(self, film: ArrayLike) -> FloatArray:
        """Tone in print of a tone on the film; shares, any shape."""
        x, y = self._knots()
        return np.asarray(np.interp(np.asarray(film, dtype=np.float64), x, y))

    def film_for(self, printed: ArrayLike) -> FloatArray:
        """Tone on the film that prints a wanted tone: undoes the gain; shares, any shape.

        Nothing needs nothing and solid needs solid. A tone just above 0 takes the largest dot that still prints
        nothing, a tone just below 1 the smallest hole that closes up.
        """
        x, y = self._knots()
        first = int(np.flatnonzero(y <= 0)[-1])
        last = int(np.flatnonzero(y >= 1)[0])
        wanted = np.asarray(printed, dtype=np.float64)
        found = np.interp(wanted, y[first : last + 1], x[first : last + 1])
        return np.asarray(np.where(wanted <= 0, 0.0, np.where(wanted >= 1, 1.0, found)))

    def _knots(self) -> tuple[FloatArray, FloatArray]:
        x, y = np.asarray(self.film), np.asarray(self.printed)
        if x[0] > 0:
            x, y = np.append(0.0, x), np.append(0.0, y)
        if x[-1] < 1:
            x, y = np.append(x, 1.0), np.append(y, 1.0)
        # Bare film prints nothing and solid film prints solid, whatever a reading says.
        y = y.copy()
        y[0], y[-1] = 0.0, 1.0
        return x, y


def strip_curve(name: str, patches: Iterable[tuple[float, float]]) -> ToneCurve:
    """Tone curve from a shop's own strip.

    Parameters
    ----------
    name : str
    patches : iterable of (float, float)
        Film tone and print tone of each patch, as shares, in any order.

    Raises
    ------
    InvalidInput
        As for `ToneCurve`.
    """
    pairs = sorted(patches)
    return ToneCurve(name=name, film=tuple(p[0] for p in pairs), printed=tuple(p[1] for p in pairs))


@lru_cache(maxsize=1)
def starting_curve() -> ToneCurve:
    """The curve to begin with: one mesh maker's example (maker's sheet).

    Notes
    -----
    15 patches from 1 to 99 %; the largest gain is 15 per cent of area near 69 %. Below 22 % the example *loses* tone
    (6 % on the film prints 2 %), which says that its mesh could not hold those dots; another mesh, ink or exposure
    moves that point. Print a strip and use `strip_curve` as soon as there is one.
    """
    from laydown.data.read import read_table

    rows = read_table("dot_gain").values()
    return strip_curve(
        "a mesh maker's example", [(row["film_tone"].value, row["print_tone"].value) for row in rows]
    )  # fmt: skip


STRAIGHT = ToneCurve(name="none", film=(0.0, 0.5, 1.0), printed=(0.0, 0.5, 1.0))
"""Dots as large as the tones: no gain undone."""


def film_shares(curve: ToneCurve, *, least: float = 0.0, most: float = 1.0) -> FloatArray:
    """Inked share on the film for every tone of a plate.

    Parameters
    ----------
    curve : ToneCurve
    least, most : float
        Share of the smallest dot and of the smallest hole's plate that the mesh holds, from
        `laydown.artwork.mesh_checks.dot_limits`.

    Returns
    -------
    ndarray, shape (256,)
        For `laydown.artwork.halftone.halftone_rows`; rises with the tone; 0 stays 0 and 255 stays 1.

    Raises
    ------
    InvalidInput
        When the smallest dot is larger than the smallest hole's plate.

    Notes
    -----
    A dot that the mesh cannot hold falls off the screen in places, which looks worse than a tone that is slightly off.
    So a share below ``least`` goes to the nearer of nothing and ``least``, and one above ``most`` to the nearer of
    ``most`` and solid: the error is at most half the smallest dot, and light tones do not all vanish.
    """
    share("share of the smallest dot", least)
    share("share of the smallest hole's plate", most)
    if least > most:
        raise InvalidInput(
            f"the mesh holds dots from {_told(least)} on and holes up to {_told(most)} only: no halftone is left; take "
            "a finer mesh or a coarser ruling"
        )
    wanted = curve.film_for(np.arange(256) / 255)
    held = np.where(wanted < least, np.where(wanted < least / 2, 0.0, least), wanted)
    held = np.where(held > most, np.where(held > (1 + most) / 2, 1.0, most), held)
    held[0], held[255] = 0.0, 1.0
    return np.asarray(held)


def _told(tone: float) -> str:
    return f"{round(units.to_percent(tone), 2):g} %"


__all__ = ["STRAIGHT", "ToneCurve", "film_shares", "starting_curve", "strip_curve"]

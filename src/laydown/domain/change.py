"""What somebody wants to see changed in a plan."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.validity import within


@dataclass(frozen=True, slots=True, kw_only=True)
class PassChange:
    """A change of one pass; None leaves it as it is.

    Attributes
    ----------
    number : int
        Which pass of the stack, counted from 1.
    ink, screen : str or None
        By name.
    hits : int or None
    """

    number: int
    ink: str | None = None
    screen: str | None = None
    hits: int | None = None

    def __post_init__(self) -> None:
        within("number of the pass", self.number, 1, 40, "")
        if self.hits is not None:
            within("hits", self.hits, 1, 6, "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change of one print of a plan; SI units; None leaves things as they are.

    Attributes
    ----------
    dryer : str or None
        By name; for another one than the plan's, panel and belt are given both, or neither: then they are searched.
    panel_temperature : float or None
        [K].
    belt_speed : float or None
        [m/s].
    pile_height : float or None
        [m].
    stack_hot : bool or None
    quantity : int or None
    passes : tuple of PassChange
    """

    dryer: str | None = None
    panel_temperature: float | None = None
    belt_speed: float | None = None
    pile_height: float | None = None
    stack_hot: bool | None = None
    quantity: int | None = None
    passes: tuple[PassChange, ...] = ()


__all__ = ["Change", "PassChange"]

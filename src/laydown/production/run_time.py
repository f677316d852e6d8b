"""Hours of an order at the press: set-up, run, and the share of the day that prints."""

from __future__ import annotations

from laydown.domain.validity import positive, share, within


def set_up_time(screens: int, set_up_per_screen: float) -> float:
    """Time to register the screens of one print [s]."""
    within("screens", screens, 0, 100, "")
    within("set-up per screen", set_up_per_screen, 0.0, 7200.0, "s")
    return screens * set_up_per_screen


def run_time(quantity: int, rate: float, spoilage: float = 0.0) -> float:
    """Time to print ``quantity`` good pieces at ``rate`` pieces per second [s].

    ``spoilage`` pieces for each good one are printed on top.
    """
    within("quantity", quantity, 1, 1_000_000, "pieces")
    positive("rate", rate)
    share("spoilage", spoilage)
    return quantity * (1 + spoilage) / rate


def uptime(set_up: float, run: float) -> float:
    """Share of the time in which the press prints, from total set-up and total run time."""
    within("set-up time", set_up, 0.0, 1e9, "s")
    positive("run time", run)
    return run / (set_up + run)

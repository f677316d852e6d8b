"""One good order, to be spoiled in one place."""

from __future__ import annotations

GOOD = """\
[order]
name = "Harbour regatta tees"
quantity = 144
due = 2026-12-10

[garment]
care_label = "50% cotton 50% polyester"
structure = "jersey"
mass_gsm = 180
colour = "#8c1d2f"
dye = "disperse, medium energy"
stretch_percent = 25

[[print]]
place = "front"
width_mm = 300
height_mm = 350
inks = ["white"]
coverage = 0.42

[[print]]
place = "back"
width_mm = 250
height_mm = 100
inks = ["white", "Beacon Red"]
coverage = { white = 0.2, "Beacon Red" = 0.1 }

[requirements]
bleed_grade = 4
bleed_days = 30

[care]
stack_hot = true
transit = { celsius = 50, hours = 24 }
"""


def spoiled(old: str, new: str) -> str:
    """The good order with one piece of it replaced."""
    assert old in GOOD, f"{old!r} does not stand in the good order"
    return GOOD.replace(old, new, 1)

"""How much ink to mix for an order, pass by pass, and what it costs."""

from __future__ import annotations

from laydown.domain.order import Print
from laydown.domain.plan import InkAmount
from laydown.domain.stack import Pass, Stack
from laydown.domain.validity import positive, share, within
from laydown.errors import InvalidInput

THICKEST_LAYDOWN = 2e-3
"""Thickest wet laydown of one pass that is believed [m]."""


def ink_mass(area: float, wet: float, density: float) -> float:
    """Mass of wet ink on one print [kg].

    Parameters
    ----------
    area : float
        Inked area [m2], >= 0.
    wet : float
        Wet laydown of all hits of the pass [m], 0 to `THICKEST_LAYDOWN`.
    density : float
        [kg/m3], > 0.
    """
    within("inked area", area, 0.0, 10.0, "m²")
    within("wet laydown", wet, 0.0, THICKEST_LAYDOWN, "m")
    positive("density", density)
    return area * wet * density


def mixture_density(density: float, additive_density: float, additive_share: float) -> float:
    """Density of an ink with an additive stirred in [kg/m3]; volumes add up.

    ``additive_share`` is the additive's share of the mixture's mass.
    """
    positive("density", density)
    positive("density of the additive", additive_density)
    share("additive share", additive_share)
    return 1 / ((1 - additive_share) / density + additive_share / additive_density)


def ink_amounts(
    stack: Stack, print_: Print, wet: tuple[float, ...], *, quantity: int, waste: float, spoilage: float
) -> tuple[InkAmount, ...]:
    """Ink to mix for every pass of an order.

    Parameters
    ----------
    stack : Stack
    print_ : Print
        Its width and height; the covered share is the pass's own.
    wet : tuple of float
        Median wet laydown of all hits [m], one for each pass that lays ink (``stack.inked``), in its order.
    quantity : int
        Good pieces to deliver.
    waste : float
        Ink left on screens, tools and in cups, as a share of the ink printed.
    spoilage : float
        Spoiled pieces for each good one.

    Returns
    -------
    tuple of InkAmount
        In printing order, an additive as its own line after the ink it goes into. ``per_piece`` is what stands on
        one piece (what weighing before and after printing shows); ``total`` has the quantity, waste and spoilage in
        it; ``cost`` is that of ``total``.

    Raises
    ------
    InvalidInput
        When there is not one laydown for each inked pass, or a value is out of its bounds.
    """
    if len(wet) != len(stack.inked):
        raise InvalidInput(f"{len(wet)} wet laydowns are given, but {len(stack.inked)} passes lay ink")
    within("quantity", quantity, 1, 1_000_000, "pieces")
    share("waste", waste)
    share("spoilage", spoilage)
    mixed = quantity * (1 + waste) * (1 + spoilage)
    rectangle = print_.width * print_.height
    amounts: list[InkAmount] = []
    for printed, thickness in zip(stack.inked, wet, strict=True):
        amounts += _of_pass(printed, rectangle, thickness, mixed)
    return tuple(amounts)


def _of_pass(printed: Pass, rectangle: float, wet: float, pieces: float) -> list[InkAmount]:
    ink, additive = printed.ink, printed.additive
    if ink is None:
        return []
    density = ink.density.value
    parts = [(ink, 1 - printed.additive_share, str(printed.role))]
    if additive is not None:
        density = mixture_density(density, additive.density.value, printed.additive_share)
        parts.append((additive, printed.additive_share, str(additive.kind)))
    mass = ink_mass(printed.coverage * rectangle, wet, density)
    return [
        InkAmount(
            ink=part.name,
            role=role,
            per_piece=of_mixture * mass,
            total=pieces * of_mixture * mass,
            cost=pieces * of_mixture * mass * part.price,
        )
        for part, of_mixture, role in parts
    ]

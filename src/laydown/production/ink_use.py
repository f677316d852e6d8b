"""How much ink to mix for an order, pass by pass, and what it costs."""

from __future__ import annotations

from laydown.data.read import read_table
from laydown.domain.order import Print
from laydown.domain.plan import InkAmount
from laydown.domain.stack import Pass, Stack
from laydown.domain.validity import positive, share, within
from laydown.errors import InvalidInput
from laydown.physics.ink_use import ink_to_mix, ink_volume

THICKEST_LAYDOWN = 2e-3
"""Thickest wet laydown of one pass that is believed [m]."""


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
        Share of the ink taken from the pail that stays on screens, tools and in cups, 0 to 0.95.
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
    within("waste", waste, 0.0, 0.95, "as a share of one")
    share("spoilage", spoilage)
    amounts: list[InkAmount] = []
    for printed, thickness in zip(stack.inked, wet, strict=True):
        within("wet laydown", thickness, 0.0, THICKEST_LAYDOWN, "m")
        laid = thickness + edge_laydown(printed)
        volume = float(ink_volume(laid, printed.coverage * print_.width * print_.height))
        amounts += _of_pass(printed, volume, pieces=quantity * (1 + spoilage), waste=waste)
    return tuple(amounts)


def edge_laydown(printed: Pass) -> float:
    """Wet ink per inked area that the stencil's height adds along the edges of a plate, all hits together [m].

    0 where no art was measured. Half-tone dots are not counted among the edges: how a stencil's height fills a dot is
    not known (`laydown.physics.laydown.stencil_share`).
    """
    from laydown.physics.laydown import LONGEST_EDGE, stencil_share

    if not printed.edge_length:
        return 0.0
    band = read_table("laydown")["stencil edge"]["edge_band"].value
    edge = min(printed.edge_length, LONGEST_EDGE)
    return printed.hits * float(stencil_share(printed.screen.emulsion_over_mesh, edge, band))


def _of_pass(printed: Pass, volume: float, *, pieces: float, waste: float) -> list[InkAmount]:
    ink, additive = printed.ink, printed.additive
    if ink is None:
        return []
    density = ink.density.value
    parts = [(ink, 1 - printed.additive_share, str(printed.role))]
    if additive is not None:
        density = mixture_density(density, additive.density.value, printed.additive_share)
        parts.append((additive, printed.additive_share, str(additive.kind)))
    on_piece = float(ink_to_mix(volume, density))
    taken = float(ink_to_mix(pieces * volume, density, waste))
    return [
        InkAmount(
            ink=part.name,
            role=role,
            per_piece=of_mixture * on_piece,
            total=of_mixture * taken,
            cost=of_mixture * taken * part.price,
        )
        for part, of_mixture, role in parts
    ]

"""A garment's cloth as the models need it: from fibres, structure, colour and dye."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from laydown.data.read import read_table, read_words
from laydown.domain.fibre import FIBRES
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import Dye, Garment, History
from laydown.domain.quantity import Grade, Quantity
from laydown.models.colour import Spectrum, lab_of, reflectance

HELD_DYES = frozenset({Dye.REACTIVE, Dye.ACID})
"""Held by cotton and by nylon as they are usually dyed: what little they release is computed, but no ink is chosen and
no test is run for its sake unless it would be seen. Cloth that was dyed once more has entries of its own."""

CARRIERS = {
    "polyester": frozenset({"polyester"}),
    "cotton": frozenset(
        {"cotton", "viscose", "modal", "lyocell", "cupro", "flax", "hemp", "ramie", "jute", "kapok", "sisal"}
    ),
    "nylon": frozenset({"nylon", "wool", "silk", "alpaca", "angora", "camel", "cashmere", "mohair"}),
    "all": frozenset(FIBRES),
}
"""Fibres that carry a dye, by the carrier word of the dye table: those of cellulose take what cotton takes, those of
protein what nylon takes."""

HISTORY_SPREAD = {History.NEVER_PRINTED: 1.0, History.PRINTED: 0.45, History.TESTED: 0.3}
"""Factor on the logarithmic spread of what is assumed of a cloth (its surface, its dye): how far the shop's own
experience of it narrows that. Assumed; a cloth's own readings replace it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cloth:
    """Cloth properties in SI units, with their spread.

    Attributes
    ----------
    thickness, areal_mass, conductivity, specific_heat, regain : Quantity
        [m], [kg/m2], [W/mK], [J/kgK] (dry), share of dry mass.
    heat_limit : Quantity
        Temperature the most tender of its fibres stands [K]; ``limit_fibre`` names it.
    surface_fill : Quantity
        Ink that the first hit loses into the surface [m].
    roughness : Quantity
        Relative standard deviation of the local film thickness.
    working_stretch : Quantity
        Share of one.
    spectrum : tuple of float
        Measured reflectance of the cloth, 36 bands.
    migrating_share : float
        Share of the cloth that carries dye able to migrate.
    dye_moves : bool
        Whether that dye is of a kind that moves: printers choose inks and run tests for its sake.
    release_factor, absorption_factor : Quantity
        Release beside a medium-energy disperse dye, and how strongly what came out colours beside the cloth's colour.
    history_spread : float
        Factor on the spread of the bleed model's inputs; 1 where a finding says more than the garment's history.
    finding : ClothFinding or None
        What the shop's own tests say of this cloth's bleed.
    """

    garment: Garment
    areal_mass: Quantity
    thickness: Quantity
    conductivity: Quantity
    specific_heat: Quantity
    regain: Quantity
    emissivity: Quantity
    heat_limit: Quantity
    limit_fibre: str
    surface_fill: Quantity
    roughness: Quantity
    fibrous: bool
    working_stretch: Quantity
    spectrum: tuple[float, ...]
    lab: tuple[float, float, float]
    migrating_share: float
    dye_moves: bool
    release_factor: Quantity
    absorption_factor: Quantity
    history_spread: float
    finding: ClothFinding | None = None

    @property
    def lightness(self) -> float:
        """CIELAB L*."""
        return self.lab[0]

    @property
    def chroma(self) -> float:
        """CIELAB chroma."""
        return math.hypot(self.lab[1], self.lab[2])

    @property
    def hue_degrees(self) -> float:
        """CIELAB hue angle, 0 to 360."""
        return math.degrees(math.atan2(self.lab[2], self.lab[1])) % 360

    def reflectance(self) -> Spectrum:
        """Measured reflectance factor, shape (36,)."""
        return np.array(self.spectrum)


def describe_cloth(garment: Garment, *, condition: str = "D65/10", finding: ClothFinding | None = None) -> Cloth:
    """Work out a garment's cloth properties from the shipped tables.

    Parameters
    ----------
    garment : Garment
    condition : str
        Illuminant and observer for the cloth's Lab values.
    finding : ClothFinding or None
        What the shop's own tests say of its bleed: it takes the place of what the garment's history lets one expect.
    """
    structure = read_table("cloth_structures")[garment.structure.value]
    words = read_words("cloth_structures")[garment.structure.value]
    density = structure["bulk_density"]
    areal_mass = garment.areal_mass
    elastic = garment.content.share("elastane") >= 0.04
    stretch = garment.stretch or structure["working_stretch_elastane" if elastic else "working_stretch"]
    limit, limit_fibre = _heat_limit(garment)
    spread = HISTORY_SPREAD[garment.history]
    # A finding of this cloth is of its surface as well, and was made without what its history lets one expect.
    of_cloth = finding is not None and finding.level in {Level.LOT, Level.CLOTH}
    surface_spread = 1.0 if of_cloth else spread
    spectrum = reflectance(garment.colour)
    lab = lab_of(spectrum, condition)
    dye = read_table("dyes")[garment.dye.value]
    share = _migrating_share(garment)
    return Cloth(
        garment=garment,
        areal_mass=areal_mass,
        thickness=Quantity(
            value=areal_mass.value / density.value,
            low=areal_mass.value / density.high,
            high=areal_mass.value / density.low,
            grade=density.grade,
            source=f"areal mass by bulk density ({density.source})",
        ),
        conductivity=structure["cloth_conductivity"],
        specific_heat=_blend(garment, "specific_heat"),
        regain=_blend(garment, "regain"),
        emissivity=_blend(garment, "emissivity"),
        heat_limit=limit,
        limit_fibre=limit_fibre,
        surface_fill=narrowed(structure["surface_fill"], surface_spread),
        roughness=narrowed(structure["thickness_variation"], surface_spread),
        fibrous=words["surface"] == "fibrous",
        working_stretch=stretch,
        spectrum=tuple(float(r) for r in spectrum),
        lab=(float(lab[0]), float(lab[1]), float(lab[2])),
        migrating_share=share,
        dye_moves=share > 0 and garment.dye not in HELD_DYES,
        release_factor=dye["release_factor"],
        absorption_factor=dye["absorption_factor"],
        history_spread=1.0 if finding is not None else spread,
        finding=finding,
    )


def narrowed(quantity: Quantity, factor: float) -> Quantity:
    """Narrow the interval of a positive quantity: its logarithmic half-widths times ``factor``."""
    if quantity.low <= 0:
        return quantity
    return replace(
        quantity,
        low=quantity.value * (quantity.low / quantity.value) ** factor,
        high=quantity.value * (quantity.high / quantity.value) ** factor,
    )


def _migrating_share(garment: Garment) -> float:
    """Share of the cloth that its dye is carried by: disperse dye by polyester, reactive by cotton, acid by nylon."""
    if read_table("dyes")[garment.dye.value]["release_factor"].value <= 0:
        return 0.0
    carriers = CARRIERS[read_words("dyes")[garment.dye.value]["carrier"]]
    return min(1.0, math.fsum(share for name, share in garment.content.shares if name in carriers))


def _fibre_table() -> dict[str, dict[str, Quantity]]:
    return {name: dict(row) for name, row in read_table("fibres").items()}


def _blend(garment: Garment, quantity: str) -> Quantity:
    """Mean of a fibre property weighted by the shares by mass."""
    table = _fibre_table()
    rows = [(share, table.get(name, table["cotton"]), name) for name, share in garment.content.shares]
    known = [(share, row[quantity]) for share, row, _ in rows if quantity in row]
    total = sum(share for share, _ in known)
    grades = [q.grade for _, q in known]
    return Quantity(
        value=sum(s * q.value for s, q in known) / total,
        low=sum(s * q.low for s, q in known) / total,
        high=sum(s * q.high for s, q in known) / total,
        grade=max(grades, key=list(Grade).index),
        source="; ".join(dict.fromkeys(q.source for _, q in known)),
    )


def _heat_limit(garment: Garment) -> tuple[Quantity, str]:
    table = _fibre_table()
    limits = [
        (table[name]["heat_limit"], name)
        for name, share in garment.content.shares
        if name in table and "heat_limit" in table[name] and share >= 0.03
    ]
    if not limits:
        return table["cotton"]["heat_limit"], "cotton, in place of a fibre without a known limit"
    return min(limits, key=lambda pair: pair[0].value)

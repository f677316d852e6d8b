"""Every uncertain input of a chosen stack, by key, with its value, spread, source and grade."""

from __future__ import annotations

from laydown.data.read import read_table
from laydown.domain.costs import Costs
from laydown.domain.ink import Ink
from laydown.domain.plan import Assumption
from laydown.domain.quantity import Grade, Quantity
from laydown.models.bleed import bleed_inputs
from laydown.models.cloth import Cloth
from laydown.models.film import TRANSFER
from laydown.planning.flash_settings import weakest_flash
from laydown.planning.job import Assessment, Job
from laydown.planning.rests_on import as_found
from laydown.units import MINUTE

WEAK = frozenset({Grade.MEMORY, Grade.ASSUMED})
"""Grades that a plan names as assumptions."""

COST_RATES = (
    ("labour_rate", "labour", "{currency} an hour", 1.0),
    ("press_rate", "a running press", "{currency} an hour", 1.0),
    ("dryer_rate", "a running dryer", "{currency} an hour", 1.0),
    ("screen_cost", "emulsion, film and reclaiming of a screen", "{currency}", 1.0),
    ("screen_time", "work on a screen", "min", 1 / MINUTE),
    ("ink_waste", "ink left on screens and tools", "%", 100.0),
    ("spoilage", "garments spoiled in a normal run", "%", 100.0),
    ("reprint_factor", "cost of a reprint, as a multiple of the order's", "", 1.0),
    ("margin", "share of the price to be left", "%", 100.0),
    ("swatch_cost", "a test on a swatch", "{currency}", 1.0),
    ("wash_up_cost", "a change from one white to another", "{currency}", 1.0),
    ("softness", "share of the cost that 10 g/m² less film are worth", "%", 1.0),
)
"""Rates of the shop's cost file that a cost rests on: field, words, unit, and factor to it."""


def inputs_of(job: Job, chosen: Assessment) -> tuple[tuple[str, Assumption], ...]:
    """Inputs that the forecast of a stack rests on, in reading order."""
    notes = _Notes()
    note = notes.note
    cloth, shop = job.cloth, job.shop
    laydown = read_table("laydown")
    if job.laydown_model == TRANSFER:
        note("laydown.transfer", "ink transfer", shop.practice.transfer or laydown["stroke"]["transfer"], "%", 100)
        note("laydown.on_wet", "transfer of a hit on wet ink", laydown["stroke on wet ink"]["transfer"], "%", 100)
    note(
        "laydown.void_reach",
        "voids that a hit on a gelled film reaches",
        laydown["stroke on a gelled film"]["void_reach"],
        "",
    )
    note(
        "laydown.smoothing",
        "what a smoothing pass leaves of the unevenness",
        laydown["smoothing pass"]["smoothing"],
        "",
    )
    note("cloth.surface_fill", "ink that sinks into the cloth", cloth.surface_fill, "µm", 1e6)
    note("cloth.roughness", "unevenness of the film", cloth.roughness, "")
    note("cloth.areal_mass", "cloth mass", cloth.areal_mass, "g/m²", 1e3)
    note("cloth.thickness", "cloth thickness", cloth.thickness, "mm", 1e3)
    note("cloth.conductivity", "conductivity of the cloth", cloth.conductivity, "W/mK")
    note("cloth.specific_heat", "specific heat of the fibres", cloth.specific_heat, "J/kgK")
    note("cloth.regain", "moisture regain", cloth.regain, "%", 100)
    note("cloth.heat_limit", f"heat limit of {cloth.limit_fibre}", cloth.heat_limit, "°C", 1.0, -273.15)
    note("cloth.stretch", "working stretch of the cloth", cloth.working_stretch, "%", 100)
    for pass_ in chosen.stack.inked:
        mesh = pass_.screen.mesh
        if mesh is not None:
            note(f"mesh.{mesh.name}", f"volume of mesh {mesh.name}", mesh.theoretical_volume, "cm³/m²", 1e6)
    for ink in chosen.stack.inks:
        _note_ink(notes, ink)
    if chosen.setup is not None:
        dryer = chosen.setup.dryer
        note("dryer.setting_error", f"error of {dryer.name}'s setting", dryer.setting_error, "K")
        for i, zone in enumerate(dryer.zones, start=1):
            note(f"dryer.zone{i}.panel", f"{dryer.name} zone {i}, panel", zone.panel_temperature, "°C", 1.0, -273.15)
            note(f"dryer.zone{i}.exchange", f"{dryer.name} zone {i}, radiant exchange", zone.exchange, "")
            note(f"dryer.zone{i}.air", f"{dryer.name} zone {i}, air", zone.air_temperature, "°C", 1.0, -273.15)
            note(f"dryer.zone{i}.air_coefficient", f"{dryer.name} zone {i}, air side", zone.air_coefficient, "W/m²K")
        if chosen.setup.flash_seconds:
            flash = weakest_flash(chosen.setup.press)
            note("flash.radiant", f"{flash.name}, emitter", flash.radiant_temperature, "°C", 1.0, -273.15)
            note("flash.exchange", f"{flash.name}, radiant exchange", flash.exchange, "")
    heating = read_table("heating")
    note("pile.conductivity", "conductivity of a pile", heating["pile"]["pile_conductivity"], "W/mK")
    note("pile.density", "density of a pile", heating["pile"]["pile_density"], "kg/m³")
    note(
        "film.conductivity",
        "conductivity of the film",
        read_table("substances")["plasticised PVC film"]["conductivity"],
        "W/mK",
    )
    note("climate.temperature", "shop temperature", shop.climate.temperature, "°C", 1.0, -273.15)
    note("climate.humidity", "humidity", shop.climate.humidity, "%", 100)
    note("climate.storage", "storage temperature", shop.climate.storage_temperature, "°C", 1.0, -273.15)
    optics = read_table("optics")["ink film"]
    note("optics.outer", "surface reflection, outside", optics["outer_reflectance"], "")
    note("optics.inner", "surface reflection, inside", optics["inner_reflectance"], "")
    if cloth.dye_moves or (chosen.forecast is not None and chosen.forecast.bleed.applies):
        _note_bleed(notes, cloth)
    _note_costs(notes, shop.costs)
    return tuple(notes.rows.items())


class _Notes:
    """Collects inputs by key."""

    def __init__(self) -> None:
        self.rows: dict[str, Assumption] = {}

    def note(
        self, key: str, name: str, quantity: Quantity | None, unit: str, scale: float = 1.0, offset: float = 0.0
    ) -> None:
        """Keep an input; one that does not exist is left out."""
        if quantity is not None:
            shown = show(quantity, unit, scale=scale, offset=offset)
            self.rows[key] = Assumption(name=name, shown=shown, quantity=quantity)


def _note_bleed(notes: _Notes, cloth: Cloth) -> None:
    bleed = bleed_inputs(cloth)

    def note(key: str, name: str, quantity: Quantity, dimension: str, unit: str, scale: float = 1.0) -> None:
        notes.note(f"bleed.{key}", name, as_found(quantity, dimension, cloth.finding), unit, scale)

    note("release", "dye release at 160 °C", bleed.release, "release", "1/s")
    note("release_energy", "activation energy of the release", bleed.release_energy, "release energy", "kJ/mol", 1e-3)
    note("depth", "depth of the dyed zone", bleed.reservoir_depth, "reservoir depth", "µm", 1e6)
    note(
        "diffusivity", "diffusion of dye in the film at 25 °C", bleed.diffusivity, "diffusion", "µm²/day", 1e12 * 86400
    )
    note(
        "diffusion_energy",
        "activation energy of the diffusion",
        bleed.diffusion_energy,
        "diffusion energy",
        "kJ/mol",
        1e-3,
    )
    note("partition", "partition of dye between two inks", bleed.partition, "partition", "")
    note("strength", "colouring strength of the dye", bleed.peak_absorption, "dye strength", "1/µm", 1e-6)
    note(
        "reaction_length",
        "how deep dye gets into fresh blocker",
        bleed.reaction_length,
        "reaction length",
        "µm",
        1e6,
    )


def _note_ink(notes: _Notes, ink: Ink) -> None:
    note = notes.note
    key = f"ink.{ink.name}"
    note(f"{key}.fusion", f"{ink.name}, cure temperature", ink.cure.temperature, "°C", 1.0, -273.15)
    note(f"{key}.gel", f"{ink.name}, gel temperature", ink.gel_temperature, "°C", 1.0, -273.15)
    note(f"{key}.capacity", f"{ink.name}, blocking capacity", ink.capacity, "")
    note(f"{key}.elongation", f"{ink.name}, elongation", ink.elongation, "%", 100)
    note(f"{key}.density", f"{ink.name}, density", ink.density, "g/ml", 1e-3)
    note(f"{key}.solids", f"{ink.name}, solids", ink.solids, "%", 100)
    if ink.optics is not None:
        note(f"{key}.contrast", f"{ink.name}, contrast ratio", ink.optics.contrast_ratio, "")


def _note_costs(notes: _Notes, costs: Costs) -> None:
    for field, words, unit, scale in COST_RATES:
        rate = Quantity.exact(getattr(costs, field), Grade.MEASURED, "the shop's own figure, from its costs")
        notes.note(f"cost.{field}", words, rate, unit.format(currency=costs.currency), scale)


def assumptions(inputs: tuple[tuple[str, Assumption], ...]) -> tuple[Assumption, ...]:
    """The inputs that nobody measured or published."""
    return tuple(a for _, a in inputs if a.quantity.grade in WEAK)


def show(quantity: Quantity, unit: str, *, scale: float = 1.0, offset: float = 0.0) -> str:
    """Value and 90 % interval in a unit people read."""
    value, low, high = (_figures(v * scale + offset) for v in (quantity.value, quantity.low, quantity.high))
    tail = f" {unit}" if unit else ""
    return f"{value}{tail}" if low == high else f"{value}{tail} ({low} to {high})"


def _figures(value: float) -> str:
    """Three figures without an exponent: ``1,030``, ``0.0012``; very small ones keep theirs."""
    if abs(value) >= 1000:
        digits = len(str(int(abs(value)))) - 3
        return f"{round(value, -digits):,.0f}"
    return f"{value:.3g}"

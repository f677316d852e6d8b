"""Squeegee, off-contact, tension and stencil height by the published rules of the trade."""

from __future__ import annotations

from dataclasses import dataclass

from laydown.domain.garment import Structure
from laydown.domain.stack import Pass, Role
from laydown.units import from_mm, from_n_per_cm, to_n_per_cm

SQUEEGEE_SOURCE = "trade pages: 50-60 Shore A lays most ink, 65-75 is general, 80-90 lays least (published)"
OFF_CONTACT_SOURCE = "usual 1.5 to 3 mm (from memory)"
TENSION_SOURCE = "Printwear, Sep 2017: minimum 25, ideal 25 to 35, re-stretch below 10 N/cm (published)"
STENCIL_SOURCE = "Inside Screen Printing: emulsion over mesh 15 to 20 % of the mesh thickness for textiles (published)"

LOFTY = frozenset({Structure.FLEECE, Structure.FRENCH_TERRY, Structure.PIQUE})


@dataclass(frozen=True, slots=True, kw_only=True)
class PressRules:
    """How one pass is set, before it is placed on a head; SI units, hardness in Shore A."""

    shore: tuple[float, float]
    note: str
    off_contact: float
    tension_low: float
    tension_high: float
    emulsion_over_mesh: float
    sources: tuple[str, ...]
    warning: str = ""


def press_rules(pass_: Pass, structure: Structure) -> PressRules:
    """Set one pass by the published rules.

    Parameters
    ----------
    pass_ : Pass
    structure : Structure
        Of the cloth; lofty cloth needs more off-contact so that the screen snaps off.
    """
    tension_low, tension_high = from_n_per_cm(25.0), from_n_per_cm(35.0)
    off_contact = from_mm(3.0 if structure in LOFTY else 2.0)
    if pass_.role is Role.SMOOTHING:
        return PressRules(
            shore=(80.0, 90.0),
            note="firm pressure, no ink: presses the gelled film flat",
            off_contact=0.0,
            tension_low=tension_low,
            tension_high=tension_high,
            emulsion_over_mesh=0.0,
            sources=(SQUEEGEE_SOURCE,),
        )
    shore, note = {
        Role.BARRIER: ((65.0, 70.0), "even, no streaks: a gap in the barrier is a leak"),
        Role.UNDERBASE: ((65.0, 70.0), "just enough pressure to clear the screen"),
        Role.WHITE: ((65.0, 75.0), "just enough pressure to clear the screen"),
        Role.COLOUR: ((70.0, 75.0), "light pressure: lay the colour on top of the white"),
        Role.HIGHLIGHT: ((65.0, 75.0), "light pressure"),
    }[pass_.role]
    mesh = pass_.screen.mesh
    thickness = mesh.fabric_thickness.value if mesh is not None else 0.0
    warning = ""
    if pass_.screen.tension < from_n_per_cm(10.0):
        warning = (
            f"{pass_.screen.name}: {to_n_per_cm(pass_.screen.tension):g} N/cm is below 10 N/cm; re-stretch before use"
        )
    elif pass_.screen.tension < tension_low:
        warning = (
            f"{pass_.screen.name}: {to_n_per_cm(pass_.screen.tension):g} N/cm is below the 25 N/cm that is asked for"
        )
    return PressRules(
        shore=shore,
        note=note,
        off_contact=off_contact,
        tension_low=tension_low,
        tension_high=tension_high,
        emulsion_over_mesh=0.2 * thickness,
        sources=(SQUEEGEE_SOURCE, OFF_CONTACT_SOURCE, TENSION_SOURCE, STENCIL_SOURCE),
        warning=warning,
    )

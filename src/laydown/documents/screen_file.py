"""``screens.csv``: the screens in the rack; ``meshes.csv``: meshes that the shipped table does not have."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import Field

from laydown.documents.entry import Entry, number, number_keys, quantity, quantity_keys
from laydown.documents.garment_file import Note, Text, unsourced
from laydown.documents.quantity_value import Origin, QuantityValue, common_origin
from laydown.documents.sentences import nearest, told_at
from laydown.documents.unit_keys import file_unit, written
from laydown.domain.quantity import Grade
from laydown.domain.screen import Mesh, Screen, ScreenState
from laydown.errors import InvalidInput

CLOSED = "closed"
"""What a smoothing screen has instead of a mesh; an empty cell says the same."""

_FRAME = re.compile(r"(\d+(?:\.\d+)?)\s*[xX×]\s*(\d+(?:\.\d+)?)\Z")


class MeshEntry(Entry):
    """A mesh as a line of ``meshes.csv`` describes it."""

    name: Text = Field(description="Threads per centimetre / thread in micrometres, such as 43/80.")
    count_per_cm: float | None = number(
        "Threads per centimetre.", unit="threads/cm", least=5, most=250, stands_for="count", needed=True
    )
    count_per_in: float | None = number("Threads per inch.", unit="threads/in", least=13, most=635, stands_for="count")
    thread_um: float | None = number(
        "Thread diameter.", unit="µm", least=11, most=490, stands_for="thread", needed=True
    )
    opening_um: QuantityValue = quantity(
        "Mesh opening.", unit="µm", least=1, most=5000, stands_for="opening", default=..., relative=0.1
    )
    thickness_um: QuantityValue = quantity(
        "Fabric thickness.", unit="µm", least=10, most=2000, stands_for="fabric_thickness", default=..., relative=0.1
    )
    volume_cm3_m2: QuantityValue = quantity(
        "Theoretical ink volume.",
        unit="cm³/m²",
        least=0.5,
        most=1000,
        stands_for="theoretical_volume",
        default=...,
        relative=0.1,
    )
    weave: Literal["plain", "twill"] = Field(default="plain", description="Weave.")
    basis: Note = Field(default="", description="What the maker's figures refer to (relaxed or tensioned).")
    grade: Annotated[Grade, Field(strict=False)] = Field(default=Grade.ASSUMED, description="Grade of the numbers.")
    source: Note = Field(default="", description="Source of the numbers.")


class ScreenEntry(Entry):
    """Screens of one kind as a line of ``screens.csv`` describes them."""

    name: Text = Field(description="Name in the rack.")
    mesh: str = Field(default="", max_length=80, description="Mesh by name; empty or 'closed': the smoothing screen.")
    eom_um: float | None = number("Emulsion over mesh.", unit="µm", least=0, most=400, stands_for="emulsion_over_mesh")
    tension_n_per_cm: float | None = number("Tension.", unit="N/cm", least=0, most=100, stands_for="tension")
    frame_mm: str | None = Field(
        default=None, max_length=40, description="Inner size, width x height, such as 500x600; 500x600 when absent."
    )
    frame_in: str | None = Field(
        default=None, max_length=40, description="Inner size in inches, such as 20x24, instead of `frame_mm`."
    )
    state: Annotated[ScreenState, Field(strict=False)] = Field(
        default=ScreenState.READY, description="What it needs first."
    )
    count: int = number("How many of them the shop owns.", default=1, least=0, most=10_000)


def mesh_from(entry: MeshEntry, *, where: str, file: str) -> Mesh:
    """Mesh of an entry."""
    origin = Origin(grade=entry.grade, source=entry.source or unsourced(file))
    with told_at(where):
        return Mesh(
            name=entry.name,
            opening=entry.read_needed("opening", origin),
            fabric_thickness=entry.read_needed("fabric_thickness", origin),
            theoretical_volume=entry.read_needed("theoretical_volume", origin),
            weave=entry.weave,
            basis=entry.basis,
            **entry.read_numbers("count", "thread"),
        )


def mesh_table(mesh: Mesh) -> dict[str, Any]:
    """Table that writes a mesh down."""
    quantities = {name: getattr(mesh, name) for name in ("opening", "fabric_thickness", "theoretical_volume")}
    origin = common_origin(quantities.values())
    table: dict[str, Any] = {"name": mesh.name}
    for attribute in ("count", "thread"):
        table |= number_keys(MeshEntry, attribute, getattr(mesh, attribute))
    for attribute, record in quantities.items():
        table |= quantity_keys(MeshEntry, attribute, record, origin)
    table |= {"weave": mesh.weave} | ({"basis": mesh.basis} if mesh.basis else {})
    return table | ({"grade": str(origin.grade), "source": origin.source} if origin else {})


def screen_from(entry: ScreenEntry, meshes: Mapping[str, Mesh], *, where: str) -> Screen:
    """Screen of an entry, on one of some meshes.

    Raises
    ------
    InvalidInput
        When there is no such mesh, or the frame is no size.
    """
    mesh = None
    if entry.mesh not in {"", CLOSED}:
        if entry.mesh not in meshes:
            raise InvalidInput(
                f"there is no mesh {entry.mesh!r} in the shipped table or in meshes.csv; "
                f"{nearest(entry.mesh, tuple(meshes))}, or 'closed' for a smoothing screen",
                where=f"{where}, mesh",
            )
        mesh = meshes[entry.mesh]
    with told_at(where):
        return Screen(
            name=entry.name,
            mesh=mesh,
            state=entry.state,
            count=entry.count,
            **entry.read_numbers("emulsion_over_mesh", "tension"),
            **_frame(entry),
        )


def screen_table(screen: Screen) -> dict[str, Any]:
    """Table that writes a screen down."""
    table: dict[str, Any] = {"name": screen.name, "mesh": screen.mesh.name if screen.mesh else CLOSED}
    table |= number_keys(ScreenEntry, "emulsion_over_mesh", screen.emulsion_over_mesh)
    table |= number_keys(ScreenEntry, "tension", screen.tension)
    sides: list[float] = []
    for key, symbol in (("frame_mm", "mm"), ("frame_in", "in")):
        found = [written(side, file_unit(symbol)) for side in (screen.frame_width, screen.frame_height)]
        if all(exact for _, exact in found) or not sides:
            sides = [side for side, _ in found]
            frame = {key: "x".join(f"{side:.17g}" if repr(side) != f"{side:g}" else f"{side:g}" for side in sides)}
        if all(exact for _, exact in found):
            break
    return table | frame | {"state": str(screen.state), "count": screen.count}


def _frame(entry: ScreenEntry) -> dict[str, float]:
    if entry.frame_mm is not None and entry.frame_in is not None:
        raise InvalidInput("frame_mm and frame_in say the same thing in two units; give only one of them")
    for key, symbol in (("frame_mm", "mm"), ("frame_in", "in")):
        text = getattr(entry, key)
        if text is not None:
            size = _FRAME.match(text)
            if not size:
                raise InvalidInput(f"{key} is {text!r}; a frame is width x height, for example 500x600")
            to_si = file_unit(symbol).to_si
            return {"frame_width": to_si(float(size[1])), "frame_height": to_si(float(size[2]))}
    return {}

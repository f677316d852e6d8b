"""Meshes by name: the shipped table, and over it the shop's own ``meshes.csv``."""

from __future__ import annotations

from pathlib import Path

from laydown.data.read import read_table, read_words
from laydown.documents.csv_file import read_csv
from laydown.documents.screen_file import MeshEntry, mesh_from
from laydown.documents.sentences import validated
from laydown.domain.screen import Mesh
from laydown.errors import InvalidInput

_NEEDED = ("mesh_count", "thread", "opening", "fabric_thickness", "theoretical_volume")


def shipped_meshes() -> dict[str, Mesh]:
    """Meshes of the shipped table that have every number a laydown needs, by name."""
    words = read_words("meshes")
    meshes = {}
    for name, row in read_table("meshes").items():
        if all(quantity in row for quantity in _NEEDED):
            meshes[name] = Mesh(
                name=name,
                count=row["mesh_count"].value,
                thread=row["thread"].value,
                opening=row["opening"],
                fabric_thickness=row["fabric_thickness"],
                theoretical_volume=row["theoretical_volume"],
                weave=words.get(name, {}).get("weave", "plain"),
                basis=words.get(name, {}).get("basis", ""),
            )
    return meshes


def read_own_meshes(path: Path) -> dict[str, Mesh]:
    """Meshes of a shop's ``meshes.csv``; none when there is no such file.

    Raises
    ------
    InvalidInput
        When the file or a line of it is wrong, or a name stands twice.
    """
    meshes: dict[str, Mesh] = {}
    if not path.exists():
        return meshes
    for where, table in read_csv(path, MeshEntry, purpose="meshes that the shipped table does not have"):
        entry = validated(MeshEntry, table, where=where)
        if entry.name in meshes:
            raise InvalidInput(f"the mesh {entry.name!r} stands twice; names must differ", where=where)
        meshes[entry.name] = mesh_from(entry, where=where, file=path.name)
    return meshes

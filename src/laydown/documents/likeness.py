"""``like = "<other entry>"``: an entry that takes the keys it does not give from another of the same shelf."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from laydown.documents.colour_value import COLOUR_KEYS, ColourEntry, without_colour
from laydown.documents.entry import Entry, groups
from laydown.documents.sentences import nearest, place
from laydown.errors import InvalidInput


def with_likeness(
    entries: Sequence[Mapping[str, Any]], model: type[Entry], *, where: str, shelf: str
) -> list[dict[str, Any]]:
    """Entries of a shelf with what they inherit; ``like`` itself is gone from them.

    Parameters
    ----------
    entries : sequence of mapping
        As written; an entry without ``like`` is passed through.
    model : type of Entry
        Tells which keys are one quantity in several units: giving one of them replaces the other's.
    where : str
        File.
    shelf : str
        Key of the list, such as ``ink``.

    Raises
    ------
    InvalidInput
        When ``like`` names no entry, is no text, or leads round in a circle.
    """
    by_name: dict[str, int] = {}
    for index, entry in enumerate(entries):
        name = entry.get("name")
        if isinstance(name, str):
            if name in by_name:
                first = place("", (shelf, by_name[name])).removeprefix(", ")
                raise InvalidInput(
                    f"{name!r} is the name of {first} already; names must differ",
                    where=place(where, (shelf, index, "name")),
                )
            by_name[name] = index
    return [_inherit(entries, index, by_name, model, where=where, shelf=shelf) for index in range(len(entries))]


def overlaid(below: Mapping[str, Any], above: Mapping[str, Any], model: type[Entry]) -> dict[str, Any]:
    """Keys of ``above`` laid over those of ``below``; another unit of the same quantity goes with its key."""
    covered = {key for keys in groups(model).values() if any(k in above for k in keys) for key in keys}
    kept = {key: value for key, value in below.items() if key not in covered}
    if issubclass(model, ColourEntry) and any(key in above for key in COLOUR_KEYS):
        kept = without_colour(kept)
    for one, other in (("care_label", "fibres"), ("fibres", "care_label")):
        if one in above:
            kept.pop(other, None)
    return kept | dict(above)


def _inherit(
    entries: Sequence[Mapping[str, Any]],
    index: int,
    by_name: Mapping[str, int],
    model: type[Entry],
    *,
    where: str,
    shelf: str,
) -> dict[str, Any]:
    chain = [index]
    while "like" in entries[chain[-1]]:
        other = entries[chain[-1]]["like"]
        here = place(where, (shelf, chain[-1], "like"), name=str(entries[chain[-1]].get("name", ""))[:80])
        if not isinstance(other, str):
            raise InvalidInput("like names another entry of this file, as a text in quotes", where=here)
        if other not in by_name:
            raise InvalidInput(
                f"there is no {shelf} named {other!r} in this file; {nearest(other, tuple(by_name))}", where=here
            )
        if by_name[other] in chain:
            names = [repr(entries[step].get("name", "")) for step in chain[chain.index(by_name[other]) :]]
            told = " is like ".join([*names, names[0]])
            raise InvalidInput(
                f"the likeness goes round in a circle: {told}; one of them must give its own values", where=here
            )
        chain.append(by_name[other])
    merged: dict[str, Any] = {}
    for step in reversed(chain):
        own = {key: value for key, value in entries[step].items() if key != "like"}
        merged = overlaid(merged, own, model)
    if len(chain) > 1 and "name" not in entries[index]:
        merged.pop("name", None)
    return merged

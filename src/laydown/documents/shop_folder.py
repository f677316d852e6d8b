"""A shop's folder: one readable file a shelf, read into one record and written back."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from laydown.documents.csv_file import csv_text, read_csv
from laydown.documents.dryer_file import DryerEntry, dryer_from, dryer_table
from laydown.documents.entry import Entry
from laydown.documents.finding_document import FINDINGS_FILE, read_findings
from laydown.documents.garment_file import GarmentEntry, garment_from, garment_table
from laydown.documents.ink_file import InkEntry, ink_from, ink_table
from laydown.documents.likeness import with_likeness
from laydown.documents.mesh_shelf import read_own_meshes, shipped_meshes
from laydown.documents.press_file import PressEntry, press_from, press_table
from laydown.documents.protocol_file import FOLDER, forget_other_protocols, protocol_text, read_protocols
from laydown.documents.rule_file import RuleEntry, rule_from, rule_table
from laydown.documents.screen_file import MeshEntry, ScreenEntry, mesh_table, screen_from, screen_table
from laydown.documents.sentences import nearest, told_at, validated
from laydown.documents.shop_file import ShopEntry, climate_from, costs_from, practice_from, preferences_from, shop_table
from laydown.documents.toml_file import read_toml
from laydown.documents.toml_text import toml_text
from laydown.documents.whole_files import write_whole_files
from laydown.domain.screen import Mesh, Screen
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput

SHELF_FILES = (
    ("shop.toml", "the shop's name, preferences, climate and rates"),
    ("garments.toml", "garments on the shelf"),
    ("inks.toml", "inks, bases and additives"),
    ("screens.csv", "screens in the rack"),
    ("presses.toml", "presses and their flash units"),
    ("dryers.toml", "dryers and their zones"),
    ("rules.toml", "trade rules"),
)
"""Every file that a shop's folder must have, and what it is for. ``meshes.csv`` may be there as well, a folder
``protocols`` with a file a test, and ``swatches.json`` with the lab."""

E = TypeVar("E", bound=Entry)
R = TypeVar("R")


def read_shop(folder: Path) -> Shop:
    """Shop of a folder.

    Raises
    ------
    InvalidInput
        When the folder or a file is missing or anything in it cannot be used; one sentence says what, where
        (file and line or key) and what would be allowed.
    """
    try:
        there, is_folder = folder.exists(), folder.is_dir()
    except (OSError, ValueError) as error:
        raise InvalidInput(f"the folder cannot be looked up ({error})", where=str(folder)) from None
    if not is_folder:
        reason = "this is a file, but a shop is a folder" if there else "there is no such folder"
        raise InvalidInput(f"{reason}; 'laydown init' makes one to start from", where=str(folder))
    own = folder / "shop.toml"
    entry = validated(ShopEntry, read_toml(own, purpose=purpose_of("shop.toml")), where=str(own))
    garments = _shelf(folder, "garments.toml", "garment", GarmentEntry, garment_from)
    inks = _shelf(folder, "inks.toml", "ink", InkEntry, ink_from)
    screens = _screens(folder)
    presses = _shelf(folder, "presses.toml", "press", PressEntry, press_from)
    dryers = _shelf(folder, "dryers.toml", "dryer", DryerEntry, dryer_from)
    rules = _shelf(folder, "rules.toml", "rule", RuleEntry, rule_from)
    protocols = read_protocols(folder / FOLDER)
    findings = read_findings(folder / FINDINGS_FILE)
    costs = costs_from(entry.costs, where=str(own))
    climate = climate_from(entry.climate, where=str(own))
    practice = practice_from(entry.practice, where=str(own))
    with told_at(str(folder)):
        return Shop(
            name=entry.shop.name,
            garments=garments,
            inks=inks,
            screens=screens,
            presses=presses,
            dryers=dryers,
            rules=rules,
            protocols=protocols,
            findings=findings,
            costs=costs,
            climate=climate,
            practice=practice,
            preferences=preferences_from(entry.preferences),
        )


def write_shop(shop: Shop, folder: Path) -> None:
    """Write a shop's files, all of them or none; comments and likenesses of files that were there do not survive.

    Parameters
    ----------
    shop : Shop
    folder : Path
        Made when it is missing. Other files in it stay.

    Raises
    ------
    InvalidInput
        When the shop cannot be read back from its files (a record that files do not allow, a text that cannot stand
        in a CSV file), or the folder cannot be written to.
    """
    texts = shop_texts(shop)
    with tempfile.TemporaryDirectory(prefix="laydown-") as trial:
        write_whole_files(Path(trial), texts)
        try:
            read_shop(Path(trial))
        except InvalidInput as error:
            place = error.where.removeprefix(trial).lstrip("/\\")
            raise InvalidInput(
                f"nothing was written, as it could not be read back: {error.what}", where=place
            ) from None
    write_whole_files(folder, texts)
    forget_other_protocols(folder, texts)


def shop_texts(shop: Shop) -> dict[str, str]:
    """Text of every file of a shop, by file name; reading them gives the same shop.

    Raises
    ------
    InvalidInput
        When a text cannot stand in a CSV file, or two screens have different meshes of one name.
    """
    meshes: dict[str, Mesh] = {}
    shipped = shipped_meshes()
    for screen in shop.screens:
        mesh = screen.mesh
        if mesh is not None and meshes.setdefault(mesh.name, mesh) != mesh:
            raise InvalidInput(f"two screens have different meshes named {mesh.name!r}; names must differ")
    own = [mesh_table(mesh) for name, mesh in meshes.items() if shipped.get(name) != mesh]
    shelves: tuple[tuple[str, str, list[dict[str, Any]]], ...] = (
        ("garments.toml", "garment", [garment_table(garment) for garment in shop.garments]),
        ("inks.toml", "ink", [ink_table(ink) for ink in shop.inks]),
        ("presses.toml", "press", [press_table(press) for press in shop.presses]),
        ("dryers.toml", "dryer", [dryer_table(dryer) for dryer in shop.dryers]),
        ("rules.toml", "rule", [rule_table(rule) for rule in shop.rules]),
    )
    texts = {"shop.toml": toml_text(shop_table(shop))}
    for file, key, tables in shelves:
        head = f"# {purpose_of(file).capitalize()}.\n"
        texts[file] = head + toml_text({key: tables}, blocks=("flash", "zone"))
    screens = [screen_table(screen) for screen in shop.screens]
    texts["screens.csv"] = csv_text(screens, ScreenEntry, comment=f"{purpose_of('screens.csv').capitalize()}.")
    texts["meshes.csv"] = csv_text(own, MeshEntry, comment="Meshes that the shipped table does not have.")
    return texts | {f"{FOLDER}/{one.name}.toml": protocol_text(one) for one in shop.protocols}


def purpose_of(file: str) -> str:
    """Tell what a file of a shop is for, in a few words."""
    return dict(SHELF_FILES)[file]


def _shelf(
    folder: Path,
    file: str,
    key: str,
    model: type[E],
    build: Callable[..., R],
) -> tuple[R, ...]:
    path = folder / file
    document = read_toml(path, purpose=purpose_of(file))
    for other in document:
        if other != key:
            raise InvalidInput(
                f"this key is unknown; {nearest(other, (key,))}, written [[{key}]]", where=f"{path}, {other}"
            )
    tables = document.get(key, [])
    if not isinstance(tables, list) or not all(isinstance(table, dict) for table in tables):
        raise InvalidInput(f"entries of this file are written as [[{key}]] blocks", where=f"{path}, {key}")
    records = []
    for index, table in enumerate(with_likeness(tables, model, where=str(path), shelf=key)):
        name = table.get("name")
        told = name[:80] if isinstance(name, str) else ""
        entry = validated(model, table, where=str(path), at=(key, index), name=told)
        records.append(build(entry, where=str(path), at=(key, index), folder=folder))
    return tuple(records)


def _screens(folder: Path) -> tuple[Screen, ...]:
    path = folder / "screens.csv"
    meshes = shipped_meshes() | read_own_meshes(folder / "meshes.csv")
    screens: dict[str, Screen] = {}
    for where, table in read_csv(path, ScreenEntry, purpose=purpose_of("screens.csv")):
        entry = validated(ScreenEntry, table, where=where)
        if entry.name in screens:
            raise InvalidInput(f"the screen {entry.name!r} stands twice; names must differ", where=where)
        screens[entry.name] = screen_from(entry, meshes, where=where)
    return tuple(screens.values())

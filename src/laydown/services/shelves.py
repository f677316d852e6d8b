"""Open a shop's folder, start a new one, read orders."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

from laydown.domain.order import Order
from laydown.domain.shop import Shop


def open_shop(folder: Path | str | None = None) -> Shop:
    """Read a shop from its folder; without one, the invented shop that laydown ships.

    Raises
    ------
    InvalidInput
        When a file is missing or holds something that cannot be used.
    """
    from laydown.documents.shop_folder import read_shop

    if folder is None:
        return read_shop(Path(str(files("laydown.data") / "shop")))
    return read_shop(Path(folder))


def init_shop(folder: Path | str) -> Path:
    """Write the invented shop into a new folder to start from.

    Raises
    ------
    InvalidInput
        When the folder is not empty.
    """
    from laydown.documents.template import copy_template

    copy_template(Path(folder))
    return Path(folder)


def read_order(path: Path | str, shop: Shop) -> Order:
    """Read an order file against a shop's shelves, and the art of prints that state no coverage.

    Raises
    ------
    InvalidInput
        When the file or an art file cannot be read, or anything in them cannot be used.
    NotFound
        When the order names a garment or an ink that is not on the shelves.
    """
    from laydown.documents.order_file import read_order as read
    from laydown.services.art import read_art_print

    return read(Path(path), shop, art=read_art_print)

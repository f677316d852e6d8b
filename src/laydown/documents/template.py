"""The invented shop that is shipped to start from, and its demo orders."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

from laydown.documents.protocol_file import FOLDER
from laydown.documents.whole_files import write_whole_files
from laydown.errors import InvalidInput


def template_texts() -> dict[str, str]:
    """Text of every file of the invented shop, by file name; those of its tests begin with ``protocols/``."""
    tests = {f"{FOLDER}/{name}": text for name, text in _texts(f"shop/{FOLDER}", (".toml",)).items()}
    return _texts("shop", (".toml", ".csv")) | tests


def demo_order_texts() -> dict[str, str]:
    """Text of every demo order of the invented shop, by file name, in alphabetical order."""
    return _texts("orders", (".toml",))


def demo_art() -> dict[str, bytes]:
    """Art files of the demo orders, by the name that the orders use."""
    folder = files("laydown.data") / "orders" / "art"
    return {f"art/{file.name}": file.read_bytes() for file in sorted(folder.iterdir(), key=lambda file: file.name)}


def demo_folder() -> Path:
    """Folder that the demo orders and their art lie in."""
    return Path(str(files("laydown.data") / "orders"))


def copy_template(folder: Path, *, with_orders: bool = True) -> None:
    """Write the invented shop into a folder, all of it or nothing.

    Parameters
    ----------
    folder : Path
        Missing or empty.
    with_orders : bool
        Write the demo orders into a folder ``orders`` within it as well.

    Raises
    ------
    InvalidInput
        When the folder is a file, is not empty or cannot be written to.
    """
    if folder.is_dir():
        try:
            empty = next(folder.iterdir(), None) is None
        except OSError as error:
            raise InvalidInput(f"the folder cannot be read ({error.strerror})", where=str(folder)) from None
        if not empty:
            raise InvalidInput("the folder is not empty; name a new one or an empty one", where=str(folder))
    texts: dict[str, str | bytes] = dict(template_texts())
    if with_orders:
        texts |= {f"orders/{name}": text for name, text in (demo_order_texts() | demo_art()).items()}
    write_whole_files(folder, texts)


def _texts(name: str, endings: tuple[str, ...]) -> dict[str, str]:
    folder: Traversable = files("laydown.data") / name
    return {
        file.name: file.read_text(encoding="utf-8")
        for file in sorted(folder.iterdir(), key=lambda file: file.name)
        if file.name.endswith(endings)
    }

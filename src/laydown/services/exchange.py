"""Take the shop out as one file and put it in: its folder of text files, packed."""

from __future__ import annotations

import io
import stat
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

from laydown.documents.garment_catalogue import (
    Catalogue,
    CatalogueMapping,
    catalogue_heads,
    read_catalogue,
    suggested_mapping,
)
from laydown.documents.shop_folder import read_shop
from laydown.errors import InvalidInput
from laydown.services.plan_standing import differences
from laydown.store import catalogue_import, shop_exchange
from laydown.store.catalogue_import import CatalogueComparison
from laydown.store.database import Store
from laydown.store.transaction import Transaction

__all__ = [
    "CatalogueComparison",
    "CatalogueMapping",
    "compare_catalogue",
    "heads_of",
    "import_catalogue",
    "put_in",
    "read_in",
    "suggested_mapping",
    "take_out",
]

MOST_FILES = 2000
LARGEST_UNPACKED = 200_000_000
ENDINGS = (".toml", ".csv", ".json", ".bin")
"""What a shop's folder consists of; other files of an archive are left aside."""

FOLDERS = ("protocols", "lab")
"""Folders within a shop's folder."""


def take_out(store: Store) -> bytes:
    """Shop's folder as a ZIP archive; the same shop gives the same bytes.

    Raises
    ------
    NotFound
        When no shop was started yet.
    """
    with store.read() as tx:
        texts = shop_exchange.export_files(tx)
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in sorted(texts):
            entry = zipfile.ZipInfo(f"shop/{name}", date_time=(1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, texts[name])
    return packed.getvalue()


def read_in(store: Store, archive: bytes) -> tuple[str, tuple[str, ...]]:
    """Dry run: name of the shop in an archive, and what of the shelves putting it in would change, in words.

    Raises
    ------
    InvalidInput
        When the archive or a file in it cannot be used.
    """
    with _unpacked(archive) as folder:
        shop = read_shop(folder)
    with store.read() as tx:
        return shop.name, differences(shop_exchange.load_shop(tx), shop)


def put_in(store: Store, archive: bytes, *, who: str, then: Callable[[Transaction, str], None] | None = None) -> str:
    """Make the shelves those of an archive; orders and plans stay. Returns the shop's name.

    Parameters
    ----------
    then : callable, optional
        Called with the shop's name in the same transaction.

    Raises
    ------
    InvalidInput
        When the archive or a file in it cannot be used; nothing was changed then.
    """
    with _unpacked(archive) as folder, store.write(who=who) as tx:
        name = shop_exchange.import_folder(tx, folder).name
        if then is not None:
            then(tx, name)
        return name


def heads_of(content: bytes, where: str) -> tuple[str, ...]:
    """Heads of a catalogue's columns.

    Raises
    ------
    InvalidInput
        When the file is no CSV.
    """
    return catalogue_heads(content, where)


def compare_catalogue(
    store: Store,
    content: bytes,
    mapping: CatalogueMapping,
    where: str,
    *,
    progress: Callable[[float], None] | None = None,
) -> CatalogueComparison:
    """Dry run: which garments a catalogue would add or change, and what is wrong, row by row.

    Raises
    ------
    InvalidInput
        When the file is no CSV or the mapping cannot be used.
    """
    catalogue, texts = _read(content, mapping, where, progress)
    with store.read() as tx:
        return catalogue_import.compare_catalogue(tx, catalogue, texts)


def import_catalogue(
    store: Store,
    content: bytes,
    mapping: CatalogueMapping,
    where: str,
    *,
    who: str,
    change_present: bool = False,
    leave_out_mistakes: bool = False,
    progress: Callable[[float], None] | None = None,
    then: Callable[[Transaction, CatalogueComparison], None] | None = None,
) -> CatalogueComparison:
    """Put a catalogue's garments onto the shelf.

    Parameters
    ----------
    progress : callable, optional
        Told what share of the rows was read; what it raises ends the import before anything is written.
    then : callable, optional
        Called with what was done in the same transaction.

    Raises
    ------
    InvalidInput
        As `compare_catalogue`, or when a row is wrong and may not be left out.
    """
    catalogue, texts = _read(content, mapping, where, progress)
    with store.write(who=who) as tx:
        done = catalogue_import.import_catalogue(
            tx, catalogue, texts, change_present=change_present, leave_out_mistakes=leave_out_mistakes
        )
        if then is not None:
            then(tx, done)
        return done


def _read(
    content: bytes, mapping: CatalogueMapping, where: str, progress: Callable[[float], None] | None
) -> tuple[Catalogue, dict[str, str]]:
    """Catalogue and its garments as they would stand on the shelf; all that takes long."""
    first = None if progress is None else lambda share: progress(0.6 * share)
    then = None if progress is None else lambda share: progress(0.6 + 0.4 * share)
    catalogue = read_catalogue(content, mapping, where, progress=first)
    return catalogue, catalogue_import.texts_of(catalogue, progress=then)


@contextmanager
def _unpacked(archive: bytes) -> Iterator[Path]:
    """Folder with the files of an archive; what is wrong with one is told without our own folder's name."""
    with tempfile.TemporaryDirectory(prefix="laydown-shop-") as name:
        folder = Path(name)
        _unpack(archive, folder)
        try:
            yield folder
        except InvalidInput as error:
            raise InvalidInput(error.what, where=error.where.replace(f"{folder}/", "").replace(name, "shop")) from None


def _unpack(packed: bytes, folder: Path) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(packed)) as archive:
            entries = [one for one in archive.infolist() if _wanted(one)]
            if len(entries) > MOST_FILES or sum(one.file_size for one in entries) > LARGEST_UNPACKED:
                raise InvalidInput(
                    f"the archive holds too much; allowed are {MOST_FILES} files of {LARGEST_UNPACKED // 1_000_000} MB "
                    "in all",
                    where="archive",
                )
            for entry in entries:
                with archive.open(entry) as file:
                    # What the archive says of a size may be a lie.
                    content = file.read(entry.file_size + 1)
                path = folder / _within(PurePosixPath(entry.filename))
                path.parent.mkdir(exist_ok=True)
                path.write_bytes(content[: entry.file_size])
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, ValueError, zlib.error) as error:
        raise InvalidInput(f"this is no ZIP archive that can be read ({error})", where="archive") from None


def _wanted(entry: zipfile.ZipInfo) -> bool:
    """Whether an entry is a file of the shop's folder: at the top, or in one folder of any name."""
    path = PurePosixPath(entry.filename)
    plain = not stat.S_ISLNK(entry.external_attr >> 16) and not entry.is_dir()
    most = 3 if len(path.parts) > 1 and path.parts[-2] in FOLDERS else 2
    proper = path.name == Path(path.name).name and path.parts[0] != "/" and ".." not in path.parts
    return plain and len(path.parts) <= most and path.suffix in ENDINGS and proper


def _within(path: PurePosixPath) -> Path:
    """Where a file lies within the shop's folder."""
    folder = path.parts[-2] if len(path.parts) > 1 and path.parts[-2] in FOLDERS else ""
    return Path(folder) / path.name

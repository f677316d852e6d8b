"""Files that a file names: they lie beside it or below, never elsewhere."""

from __future__ import annotations

from pathlib import Path, PurePosixPath, PureWindowsPath

from laydown.errors import InvalidInput


def file_beside(name: str, folder: Path | None, *, where: str) -> Path:
    """Path of a file that another file names.

    Parameters
    ----------
    name : str
        As written, with forward slashes for folders below.
    folder : Path or None
        Folder of the naming file; None when the text came from elsewhere and no file can be meant.
    where : str
        File and key that name it, for error messages.

    Raises
    ------
    InvalidInput
        When there is no folder, the name leads out of it, or there is no such file.
    """
    if folder is None:
        raise InvalidInput(f"{name!r} names a file, but this text does not come from a folder", where=where)
    written = PurePosixPath(name)
    leads_out = written.is_absolute() or PureWindowsPath(name).is_absolute() or ".." in written.parts
    if not name.strip() or "\x00" in name or leads_out:
        raise InvalidInput(
            f"{name!r} is not allowed; name a file in the same folder or below, for example 'art/front.png'",
            where=where,
        )
    path = folder / written
    try:
        inside = path.resolve().is_relative_to(folder.resolve())
        there = path.is_file()
    except (OSError, RuntimeError, ValueError) as error:
        raise InvalidInput(f"{name!r} cannot be looked up ({error})", where=where) from None
    if not inside:
        raise InvalidInput(f"{name!r} is a link out of its folder; the file itself must lie there", where=where)
    if not there:
        raise InvalidInput(f"there is no file {name!r} in the folder {folder}", where=where)
    return path

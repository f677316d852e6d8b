"""Writing several files whole: all of them or none."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from laydown.errors import InvalidInput


def write_whole_files(folder: Path, texts: Mapping[str, str | bytes]) -> None:
    """Write files into a folder, or change nothing.

    Parameters
    ----------
    folder : Path
        Made when it is missing. Files that are not named stay as they are.
    texts : mapping of str to str or bytes
        Content by file name; a name may have folders, with forward slashes. Text is written as UTF-8.

    Raises
    ------
    InvalidInput
        When the folder is a file or cannot be written to.
    """
    if folder.exists() and not folder.is_dir():
        raise InvalidInput("this is a file, but a folder is needed", where=str(folder))
    made = not folder.exists()
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".laydown-", dir=folder) as staged:
            _stage(Path(staged), texts)
            _swap_in(Path(staged), folder, tuple(texts))
    except OSError as error:
        if made:
            shutil.rmtree(folder, ignore_errors=True)
        raise InvalidInput(f"nothing was written ({error.strerror or error})", where=str(folder)) from None


def _stage(staged: Path, texts: Mapping[str, str | bytes]) -> None:
    for name, text in texts.items():
        path = staged / "new" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("wb") as file:
            file.write(text.encode() if isinstance(text, str) else text)
            file.flush()
            os.fsync(file.fileno())


def _swap_in(staged: Path, folder: Path, names: tuple[str, ...]) -> None:
    """Move the new files in; when one cannot be moved, put back what was there."""
    moved: list[str] = []
    kept: list[str] = []
    try:
        for name in names:
            there = folder / name
            if there.exists():
                old = staged / "old" / name
                old.parent.mkdir(parents=True, exist_ok=True)
                there.replace(old)
                kept.append(name)
            there.parent.mkdir(parents=True, exist_ok=True)
            (staged / "new" / name).replace(there)
            moved.append(name)
    except OSError:
        for name in moved:
            (folder / name).unlink(missing_ok=True)
        for name in kept:
            (staged / "old" / name).replace(folder / name)
        raise

"""A first look at an art file that somebody sends: what it is, or that it cannot be read."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path, PurePath
from typing import BinaryIO

from laydown.errors import InvalidInput


def look_at(content: BinaryIO, file_name: str) -> tuple[str, ...]:
    """Tell what a file is by its head, read in a process that may fail without harm; the picture is not decoded.

    Parameters
    ----------
    content : binary file
        Read from its beginning; left at its beginning.
    file_name : str
        As the sender calls it; its ending is compared with what the file is.

    Returns
    -------
    tuple of str
        Kind, colour and pixels; size on paper; what else is worth knowing.

    Raises
    ------
    InvalidInput
        In one sentence, without a place: the field is known to whoever asks.
    """
    from laydown.services.art import inspect_file

    ending = PurePath(file_name.replace("\\", "/")).suffix[:10]
    plain = ending if ending.isascii() and ending[1:].isalnum() else ""
    with tempfile.TemporaryDirectory(prefix="laydown-art-") as folder:
        path = Path(folder) / f"art{plain}"
        content.seek(0)
        with path.open("wb") as file:
            shutil.copyfileobj(content, file)
        content.seek(0)
        if not path.stat().st_size:
            raise InvalidInput("the file is empty; choose another")
        try:
            told = inspect_file(path)
        except InvalidInput as error:
            raise InvalidInput(error.what) from None
    return tuple(line.removeprefix(f"{path.name}: ") for line in told)

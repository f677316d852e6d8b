"""The process that touches the bytes of an art file.

Started by `laydown.artwork.reading.reader`; its standard input is the socket on which jobs arrive. Each job brings two
open files, the art and the memory for the result, and is answered by one message: ``{"done": ...}`` or
``{"refused": sentence}``. Whatever happens beyond that is seen by the reader as a worker that died.
"""

from __future__ import annotations

import contextlib
import gc
import os
import re
import socket
import sys
import warnings
from typing import Any, BinaryIO

from laydown.artwork.reading.canvas import Canvas
from laydown.artwork.reading.limits import Limits
from laydown.artwork.reading.lockdown import allow_computing, lock_down
from laydown.artwork.reading.messages import receive_with_files, send
from laydown.errors import InvalidInput

_HERE = "laydown.artwork.reading"
_NEEDED = {
    "PNG": (f"{_HERE}.png", f"{_HERE}.raster", "PIL.PngImagePlugin"),
    "TIFF": (f"{_HERE}.tiff", f"{_HERE}.raster", "PIL.TiffImagePlugin", "PIL.ImageOps"),
    "JPEG": (f"{_HERE}.jpeg", f"{_HERE}.raster", "PIL.JpegImagePlugin", "PIL.ImageOps"),
    "SVG": (f"{_HERE}.svg", f"{_HERE}.png", f"{_HERE}.raster", "PIL.PngImagePlugin", "resvg_py"),
    "PDF": (f"{_HERE}.pdf", f"{_HERE}.pdf_plates", "pikepdf", "pypdfium2"),
}


def _open_raster(kind: str, file: BinaryIO, page: int, limits: Limits) -> Any:
    """Header of a file of pixels, within the limits."""
    if kind == "PNG":
        from laydown.artwork.reading.png import open_png as opener
    elif kind == "TIFF":
        from laydown.artwork.reading.tiff import open_tiff as opener
    else:
        from laydown.artwork.reading.jpeg import open_jpeg as opener
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = None  # the project's own limit holds, checked on the header
    opened = opener(file, page)
    columns, rows = opened.size
    if columns < 1 or rows < 1:
        raise InvalidInput("its header says that it has no pixels")
    if columns > limits.side or rows > limits.side or columns * rows > limits.pixels:
        raise InvalidInput(
            f"its header says {columns} x {rows} pixels; allowed are {limits.pixels / 1e6:g} million and "
            f"{limits.side} along a side"
        )
    return opened


def _inspect(job: dict[str, Any], file: BinaryIO, limits: Limits) -> dict[str, Any]:
    kind, page = job["kind"], job["page"]
    if kind == "SVG":
        from laydown.artwork.reading.svg import inspect_svg

        return inspect_svg(file, limits)
    if kind == "PDF":
        from laydown.artwork.reading.pdf import inspect_pdf

        return inspect_pdf(file, page, limits)
    from laydown.artwork.reading.raster import describe

    return describe(_open_raster(kind, file, page, limits))


def _decode(job: dict[str, Any], file: BinaryIO, limits: Limits, canvas: Canvas) -> dict[str, Any]:
    kind, page = job["kind"], job["page"]
    if kind == "SVG":
        from laydown.artwork.reading.svg import decode_svg

        return decode_svg(file, job["columns"], job["rows"], limits, canvas)
    if kind == "PDF":
        from laydown.artwork.reading.pdf import decode_pdf

        return decode_pdf(file, page, job["columns"], job["rows"], limits, canvas)
    from laydown.artwork.reading.raster import decode

    return decode(_open_raster(kind, file, page, limits), canvas)


def _prepare(kind: str) -> None:
    """Import what the first job needs while compiled modules may still be written beside their sources."""
    from importlib import import_module

    for name in _NEEDED[kind]:
        import_module(name)


def _answer(job: dict[str, Any], art: int, result: int) -> dict[str, Any]:
    """Do one job; everything a library may raise ends here as a sentence."""
    limits = Limits(**job["limits"])
    try:
        with os.fdopen(os.dup(art), "rb") as file:
            file.seek(0)
            if job["do"] == "inspect":
                return {"done": _inspect(job, file, limits)}
            return {"done": _decode(job, file, limits, Canvas(result, limits.result_bytes))}
    except InvalidInput as error:
        return {"refused": error.what}
    except MemoryError:
        return {"refused": f"it needs more memory than the allowed {limits.memory_bytes / 1e6:.0f} MB", "spent": True}
    except Exception as error:  # noqa: BLE001 - a damaged file makes libraries raise anything
        return {"refused": _damaged(job["kind"], error)}
    except BaseException as error:  # noqa: BLE001 - a panic of a compiled library is no Exception
        return {"refused": _damaged(job["kind"], error), "spent": True}


def _damaged(kind: str, error: BaseException) -> str:
    """One sentence from what a library said."""
    # Libraries name objects by their place in memory, which says nothing to anybody.
    words = re.sub(r" ?<[^<>]* at 0x[0-9a-f]+>", "", " ".join(str(error).split()))[:160].rstrip(".")
    said = words or type(error).__name__
    article = "an" if kind == "SVG" else "a"
    return f"it is not {article} {kind} that can be read ({said}); open it in a drawing program and export it again"


def serve(channel: socket.socket) -> None:
    """Answer jobs until the reader hangs up."""
    locked = False
    while True:
        try:
            job, files = receive_with_files(channel)
        except EOFError:
            return
        art, result = files
        try:
            if not locked:
                _prepare(job["kind"])
                lock_down(Limits(**job["limits"]))
                locked = True
            allow_computing(job["limits"]["cpu"])
            answer = _answer(job, art, result)
        finally:
            os.close(art)
            os.close(result)
        gc.collect()  # unmaps the result
        send(channel, answer)
        if answer.get("spent"):
            return


def main() -> None:
    """Run as the worker."""
    warnings.simplefilter("ignore")
    sys.setrecursionlimit(1000)
    channel = socket.socket(fileno=0)
    with contextlib.suppress(BrokenPipeError, ConnectionResetError):
        serve(channel)


if __name__ == "__main__":
    main()

__all__ = ["main", "serve"]

"""The app's own style sheets, scripts and fonts, under addresses that change with their content."""

from __future__ import annotations

import gzip
import hashlib
from importlib.resources import files
from importlib.resources.abc import Traversable

KINDS = (
    (".css", "text/css; charset=utf-8"),
    (".js", "text/javascript; charset=utf-8"),
    (".svg", "image/svg+xml"),
    (".otf", "font/otf"),
    (".webmanifest", "application/manifest+json"),
)
"""File endings that are served, and their media types; others are not."""

FONTS = ("Inter-Regular.otf", "Inter-SemiBold.otf")


class Assets:
    """Files read once, all under the hash of all of them: style sheets name fonts relative to themselves.

    Attributes
    ----------
    version : str
        Hash that stands in every address.
    """

    def __init__(self) -> None:
        own = files("laydown.web") / "static"
        self._files = dict(_walk(own, ""))
        fonts = files("laydown.data") / "fonts"
        self._files |= {f"fonts/{name}": (fonts / name).read_bytes() for name in FONTS}
        digest = hashlib.sha256()
        for name in sorted(self._files):
            digest.update(name.encode() + b"\x00" + self._files[name] + b"\x00")
        self.version = digest.hexdigest()[:16]
        self._packed = {name: gzip.compress(content, 9, mtime=0) for name, content in self._files.items()}

    def address(self, name: str) -> str:
        """Address of a file; a KeyError is a slip in a template."""
        if name not in self._files:
            raise KeyError(name)
        return f"/static/{self.version}/{name}"

    def find(self, version: str, name: str, *, packed: bool = False) -> tuple[bytes, str, bool] | None:
        """Content of a file of this version, its media type, and whether the content is packed (gzip); or None.

        Parameters
        ----------
        packed : bool
            Whether whoever asks can unpack it; it is packed when that makes it smaller.
        """
        if version != self.version or name not in self._files:
            return None
        kind = next(kind for ending, kind in KINDS if name.endswith(ending))
        smaller = packed and len(self._packed[name]) < 0.9 * len(self._files[name])
        return (self._packed if smaller else self._files)[name], kind, smaller


def _walk(folder: Traversable, prefix: str) -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []
    for entry in folder.iterdir():
        if entry.is_dir():
            found += _walk(entry, f"{prefix}{entry.name}/")
        elif entry.name.endswith(tuple(ending for ending, _ in KINDS)):
            found.append((f"{prefix}{entry.name}", entry.read_bytes()))
    return found

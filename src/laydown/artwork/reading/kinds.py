"""What a file is, told from its first bytes and never from its name."""

from __future__ import annotations

import re

HEAD_BYTES = 4096
"""How much of a file is looked at."""

SUPPORTED = "PNG, TIFF, JPEG, SVG or PDF"

SUFFIXES = {
    "PNG": (".png",),
    "TIFF": (".tif", ".tiff"),
    "JPEG": (".jpg", ".jpeg", ".jpe", ".jfif"),
    "SVG": (".svg",),
    "PDF": (".pdf", ".ai"),
}

_MAGIC = (
    ("PNG", b"\x89PNG\r\n\x1a\n"),
    ("JPEG", b"\xff\xd8\xff"),
    ("TIFF", b"II*\0"),
    ("TIFF", b"MM\0*"),
    ("TIFF", b"II+\0"),
    ("TIFF", b"MM\0+"),
)

_OTHERS = (
    ("a GIF picture", rb"GIF8"),
    ("a PSD document", rb"8BPS"),
    ("a WebP picture", rb"RIFF.{4}WEBP"),
    ("a Windows bitmap", rb"BM.{4}\0\0\0\0"),
    ("an HEIF or AVIF picture", rb".{4}ftyp(?:hei|hev|mif|avi|msf)"),
    ("a JPEG 2000 picture", rb"\0\0\0\x0cjP  "),
    ("PostScript", rb"%!PS|\xc5\xd0\xd3\xc6"),
    ("compressed with gzip (an .svgz is saved again as plain SVG)", rb"\x1f\x8b"),
    ("a ZIP archive", rb"PK\x03\x04"),
    ("a RAR archive", rb"Rar!"),
    ("an HTML page", rb"\s*<(?:!doctype\s+html|html)"),
)

_SVG = re.compile(rb"<(?:[A-Za-z_][\w.-]*:)?svg[\s>/]")


def _as_ascii(head: bytes) -> bytes:
    """Text in UTF-16 as bytes that a search for ASCII words finds."""
    if head[:2] in {b"\xff\xfe", b"\xfe\xff"}:
        return head[2:].replace(b"\0", b"")
    return head.removeprefix(b"\xef\xbb\xbf")


def tell_kind(head: bytes) -> str | None:
    """One of the supported kinds, or None.

    Parameters
    ----------
    head : bytes
        The first `HEAD_BYTES` of the file.
    """
    for kind, magic in _MAGIC:
        if head.startswith(magic):
            return kind
    if b"%PDF-" in head[:1024]:
        return "PDF"
    text = _as_ascii(head)
    if text.lstrip().startswith(b"<") and _SVG.search(text):
        return "SVG"
    return None


def name_other(head: bytes) -> str:
    """What an unsupported file seems to be, in words; empty when nothing is known."""
    for words, pattern in _OTHERS:
        if re.match(pattern, head, re.DOTALL | re.IGNORECASE):
            return words
    return ""


def lying_suffix(suffix: str, kind: str) -> bool:
    """Whether a suffix promises another kind than the content has; no suffix promises nothing."""
    return bool(suffix) and suffix.lower() not in SUFFIXES[kind]


__all__ = ["HEAD_BYTES", "SUFFIXES", "SUPPORTED", "lying_suffix", "name_other", "tell_kind"]

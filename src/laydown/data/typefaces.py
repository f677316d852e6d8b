"""The fonts that come with the package: everything that is drawn or typeset uses them, so it looks alike everywhere."""

from __future__ import annotations

from pathlib import Path

TEXT_FACE = "Inter-Regular.otf"
"""File of the face that plain text is set in."""


def font_folder() -> Path:
    """Folder of the fonts that come with the package."""
    return Path(__file__).parent / "fonts"

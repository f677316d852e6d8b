"""Colour profiles: what they say, and the way from them to sRGB.

Always relative colorimetric with black point compensation: colours inside sRGB stay what they are, the white of the
art becomes white, and dark tones keep their steps.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from PIL import Image

_SPACES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK", "Lab": "LAB"}
_IN_WORDS = {"L": "grey", "RGB": "RGB", "CMYK": "CMYK", "LAB": "Lab"}
_LONGEST_NAME = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class Conversion:
    """How colours of one mode become sRGB.

    Attributes
    ----------
    mode : str
        Pillow's mode that it takes: L, RGB, CMYK or LAB.
    name : str
        What the profile calls itself; empty without a usable one.
    notes : tuple of str
    profile : Any
        The opened profile, or None when none is needed: already sRGB, or nothing to go by.
    """

    mode: str
    name: str = ""
    notes: tuple[str, ...] = ()
    profile: Any = None

    def transform(self, mode: str | None = None) -> Any:
        """A transform to sRGB; ``mode`` may be RGBA to work in place and leave alpha alone."""
        from PIL import ImageCms

        # A grey curve may be steep where it is dark, so it is not sampled; tables of more channels are sampled finely.
        fine = ImageCms.Flags.NOOPTIMIZE if self.mode == "L" else ImageCms.Flags.HIGHRESPRECALC
        return ImageCms.ImageCmsTransform(
            self.profile,
            ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")),
            mode or self.mode,
            mode or "RGB",
            ImageCms.Intent.RELATIVE_COLORIMETRIC,
            flags=ImageCms.Flags.BLACKPOINTCOMPENSATION | fine,
        )


def _is_srgb(conversion: Conversion) -> bool:
    """Whether it moves no colour of a lattice by more than one step: then there is nothing to do."""
    from PIL import Image, ImageChops

    steps = bytes(round(255 * k / 16) for k in range(17))
    lattice = Image.frombytes(
        "RGB", (289, 17), bytes(v for r in steps for g in steps for b in steps for v in (r, g, b))
    )
    moved = ImageChops.difference(lattice, conversion.transform().apply(lattice))
    extrema: Any = moved.getextrema()
    return all(high <= 1 for _, high in extrema)


def conversion(icc: bytes | None, mode: str) -> Conversion:
    """Way to sRGB for art of one mode.

    Parameters
    ----------
    icc : bytes or None
        The profile in the file.
    mode : str
        L, RGB, CMYK or LAB: what the art's colours are.
    """
    if not icc:
        return _without(mode, "")
    from PIL import ImageCms

    try:
        profile = ImageCms.ImageCmsProfile(BytesIO(icc))
        space = profile.profile.xcolor_space.strip()
        name = (profile.profile.profile_description or "").strip()[:_LONGEST_NAME] or "unnamed profile"
    except (OSError, ValueError, TypeError):
        return _without(mode, "the colour profile in the file is broken and was left aside")
    found = _SPACES.get(space)
    if found != mode:
        return _without(
            mode, f"the colour profile {name!r} is for {space} but the art is {_IN_WORDS[mode]}, so it was left aside"
        )
    made = Conversion(mode=mode, name=name, profile=profile)
    try:
        same = mode == "RGB" and _is_srgb(made)
        if mode != "RGB":
            made.transform()
    except (ImageCms.PyCMSError, OSError, ValueError):
        return _without(mode, f"the colour profile {name!r} cannot be used to read colours and was left aside")
    return Conversion(mode=mode, name=name) if same else made


def _without(mode: str, note: str) -> Conversion:
    notes = [note] if note else []
    if mode == "CMYK":
        notes.append(
            "the art is CMYK without a usable profile, so its colours are a guess; "
            "supply sRGB, or embed the CMYK profile"
        )
    elif mode == "L" and note:
        notes.append("grey was taken as sRGB")
    elif mode == "RGB" and note:
        notes.append("colours were taken as sRGB")
    if mode == "LAB":
        from PIL import ImageCms

        lab = ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB"))
        return Conversion(mode=mode, name="", notes=tuple(notes), profile=lab)
    return Conversion(mode=mode, notes=tuple(notes))


def to_rgb(band: Image.Image, transform: Any) -> Image.Image:
    """One band of art as sRGB."""
    if transform is not None:
        done: Image.Image = transform.apply(band)
        return done
    return band.convert("RGB")


__all__ = ["Conversion", "conversion", "to_rgb"]

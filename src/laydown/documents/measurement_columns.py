"""Which column of a table holds what: names, L*, a*, b*, tristimulus values, bands of a spectrum, conditions."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

from laydown.documents.measurement_words import illuminant, observer
from laydown.domain.measurement import LONGEST_NM, SHORTEST_NM
from laydown.errors import InvalidInput

ROLES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("name", ("SAMPLENAME", "NAME", "SAMPLE", "DATANAME", "PATCHNAME", "COLORNAME", "COLOURNAME", "SAMPLELOC")),
    ("id", ("SAMPLEID", "ID", "SAMPLENO", "PATCH", "NO", "NR", "NUMBER", "#")),
    ("L", ("L", "LABL", "CIEL", "CIELABL", "LCHL", "LIGHTNESS")),
    ("a", ("A", "LABA", "CIEA", "CIELABA")),
    ("b", ("B", "LABB", "CIEB", "CIELABB")),
    ("C", ("C", "LABC", "LCHC", "CIEC", "CHROMA")),
    ("h", ("H", "LABH", "LCHH", "CIEH", "HUE")),
    ("X", ("X", "XYZX", "CIEX", "CIEXYZX")),
    ("Y", ("Y", "XYZY", "CIEY", "CIEXYZY")),
    ("Z", ("Z", "XYZZ", "CIEZ", "CIEXYZZ")),
    ("moment", ("MEASUREDAT", "TAKENAT", "MEASUREDATE", "DATETIME", "TIMESTAMP", "DATE", "TIME", "MOMENT")),
    ("illuminant", ("ILLUMINANT", "ILLUMINATION", "ILLUMINATIONNAME", "LIGHTSOURCE")),
    ("observer", ("OBSERVER", "OBSERVERANGLE", "STANDARDOBSERVER")),
    ("mode", ("MODE", "MEASUREMENTCONDITION", "MEASUREMENTMODE", "MCONDITION", "FILTER")),
    ("geometry", ("GEOMETRY", "MEASUREMENTGEOMETRY")),
    ("backing", ("BACKING", "SAMPLEBACKING", "BACKGROUND")),
    ("instrument", ("INSTRUMENT", "INSTRUMENTATION", "TARGETINSTRUMENT", "DEVICE")),
    ("operator", ("OPERATOR", "MEASUREDBY")),
)  # fmt: skip
"""Words of a heading, in capitals and without blanks and marks, by what the column holds."""

UNUSED = (
    (r"RGB|SRGB|CMYK?|\d+CLR|[A-Z]+CLR|K?\dCOLOU?R", "a colour to be printed or shown, not a reading"),
    (r"D(RED|GREEN|BLUE|VIS|MAJORFILTER)|DENSITY", "a density; L*, a*, b* or a spectrum is needed"),
    (r"(D|Δ|DELTA)[LABCHE]|DE(19|20|CMC)|LABDE", "a difference, not a reading"),
    (r"STDEV|MEANDE|STD", "a spread of readings, not a reading"),
)
"""Headings that are known and not used, with the reason."""

_BAND = re.compile(
    r"(?:SPECTRAL[\s_]*)?(?P<kind>NM|SPEC|DEC|PCT|R|WL|LAMBDA|Λ|SPECTRAL)?[\s_]*(?P<nm>\d{3,4}(?:[.,]\d{1,3})?)\s*(?:NM)?\Z"
)
_INSIDE = re.compile(r"(?P<word>[^(\[]*)[(\[](?P<inside>[^)\]]*)[)\]]\s*\Z")
_MARKS = re.compile(r"[\s_.*°'\"-]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Columns:
    """Places of the columns that are used; each number counts from 0.

    Attributes
    ----------
    titles : tuple of str
        All headings.
    name : tuple of int
        Columns that a sample's name may stand in, the better first.
    kind : str
        ``Lab``, ``LCh``, ``XYZ`` or empty, for the three columns of ``colour``.
    colour : tuple of int
    bands : tuple of (float, int)
        Wavelength [nm] and column, in the order of the wavelengths.
    percent : bool or None
        Whether the headings say that reflectance stands in per cent; None when they do not say.
    said : tuple of (str, str)
        Conditions that the headings of the colour name themselves.
    others : tuple of (str, int)
        Columns of conditions and of the moment.
    left_out : tuple of (str, str)
        Heading and reason of every column that is not used.
    """

    titles: tuple[str, ...]
    name: tuple[int, ...]
    kind: str
    colour: tuple[int, ...]
    bands: tuple[tuple[float, int], ...]
    percent: bool | None
    said: tuple[tuple[str, str], ...]
    others: tuple[tuple[str, int], ...]
    left_out: tuple[tuple[str, str], ...]

    @property
    def used(self) -> tuple[tuple[str, str], ...]:
        """Heading and use of every column that is used; the bands of a spectrum as one."""
        told = [(self.titles[place], "name of the sample") for place in self.name[:1]]
        marks = {"Lab": ("L*", "a*", "b*"), "LCh": ("L*", "chroma", "hue"), "XYZ": ("X", "Y", "Z")}.get(self.kind, ())
        told += [(self.titles[place], mark) for place, mark in zip(self.colour, marks, strict=True)]
        if self.bands:
            first, last = self.bands[0], self.bands[-1]
            told.append(
                (
                    f"{self.titles[first[1]]} to {self.titles[last[1]]}",
                    f"reflectance at {first[0]:g} to {last[0]:g} nm, {len(self.bands)} bands",
                )
            )
        return (*told, *((self.titles[place], role) for role, place in self.others))


def columns_of(titles: Sequence[str], *, refused: Mapping[str, str] = MappingProxyType({})) -> Columns:
    """What the columns of a table hold, by their headings.

    Parameters
    ----------
    titles : sequence of str
    refused : mapping of str
        Headings that are not to be used, and why.

    Returns
    -------
    Columns

    Raises
    ------
    InvalidInput
        When a heading stands twice, or no colour and no spectrum is among them.
    """
    roles: dict[str, list[int]] = {}
    bands: list[tuple[float, int]] = []
    kinds: set[str] = set()
    left: dict[int, str] = {}
    for place, title in enumerate(titles):
        if title in refused:
            left[place] = refused[title]
            continue
        nm, kind = band_of(title)
        if nm:
            bands.append((nm, place))
            kinds.add(kind)
            continue
        role = role_of(title)
        if role:
            roles.setdefault(role, []).append(place)
        else:
            left[place] = _reason(title)
    if len(bands) == 1:
        left[bands.pop()[1]] = "a single band; a spectrum needs several"
    bands.sort()
    for (one, at), (other, beside) in pairwise(bands):
        if one == other:
            raise InvalidInput(f"{one:g} nm stands twice, in {titles[at]!r} and in {titles[beside]!r}; once is allowed")
    kind, colour = _colour(titles, roles)
    for role in ("L", "a", "b", "C", "h", "X", "Y", "Z"):
        for place in roles.pop(role, []):
            if place not in colour:
                left[place] = f"{kind or 'its two partners'} {'is used' if kind else 'are missing'}"
    if not colour and not bands:
        raise InvalidInput(
            "no column is L*, a*, b*, X, Y, Z or a wavelength; the headings are "
            f"{', '.join(repr(t) for t in titles[:12])}{' ...' if len(titles) > 12 else ''}"
        )
    ranked = dict(ROLES)["name"]
    names = (*sorted(roles.pop("name", []), key=lambda place: ranked.index(_word(titles[place]))), *roles.pop("id", []))
    left |= dict.fromkeys(names[1:], "another column names the sample")
    others = []
    for role, places in roles.items():
        others.append((role, places[0]))
        left |= dict.fromkeys(places[1:], f"{titles[places[0]]!r} says the {role}")
    inside = _inside(titles[colour[0]]) if colour else ""
    said = tuple(
        (field, found)
        for field, found in (("illuminant", illuminant_in(inside)), ("observer", observer(inside)))
        if found
    )
    return Columns(
        titles=tuple(titles),
        name=names,
        kind=kind,
        colour=colour,
        bands=tuple(bands),
        percent=True if "%" in kinds else False if "factor" in kinds else None,
        said=said,
        others=tuple(others),
        left_out=tuple((titles[place], left[place]) for place in sorted(left)),
    )


def role_of(title: str) -> str:
    """What a column of this heading holds, empty when nothing that is known."""
    word = _word(title)
    return next((role for role, words in ROLES if word in words), "")


def band_of(title: str) -> tuple[float, str]:
    """Wavelength [nm] that a heading names, or 0, and ``%`` or ``factor`` where it says so."""
    inside = _inside(title)
    match = _BAND.match(re.sub(r"[(\[][^)\]]*[)\]]", "", title).strip().upper() or inside.strip().upper())
    if not match:
        return 0.0, ""
    nm = float(match["nm"].replace(",", "."))
    if not SHORTEST_NM <= nm <= LONGEST_NM:
        return 0.0, ""
    kind = match["kind"] or ""
    return nm, "%" if kind == "PCT" or "%" in title else "factor" if kind == "DEC" else ""


def equal_steps(wavelengths: Sequence[float]) -> tuple[float, float]:
    """First wavelength and step of a spectrum [nm]; headings may be rounded to whole nanometres.

    Raises
    ------
    InvalidInput
        When the wavelengths do not go up in equal steps; the sentence names the widest gap.
    """
    start, step = wavelengths[0], (wavelengths[-1] - wavelengths[0]) / (len(wavelengths) - 1)
    whole = all(float(nm).is_integer() for nm in wavelengths)
    # Steps of 3.33 nm are named 380, 383, 387: at most half a nanometre off each.
    tolerance = 0.51 if whole and step < 10 else 1e-3
    if any(abs(nm - (start + place * step)) > tolerance for place, nm in enumerate(wavelengths)):
        gaps = sorted((after - before, before, after) for before, after in pairwise(wavelengths))
        usual, (_, before, after) = gaps[(len(gaps) - 1) // 2][0], gaps[-1]
        raise InvalidInput(
            f"the wavelengths do not go up in equal steps: {after:g} nm follows {before:g} nm, but the usual step is "
            f"{usual:g} nm"
        )
    return start, step


def illuminant_in(text: str) -> str:
    """Illuminant among the parts of a text such as ``10°/D65`` or ``A,10``."""
    return next((found for part in re.split(r"[/,;\s]+", text) if (found := illuminant(part))), "")


def _colour(titles: Sequence[str], roles: dict[str, list[int]]) -> tuple[str, tuple[int, ...]]:
    """Kind and places of the colour that is used: Lab before LCh before XYZ, three neighbours before others."""
    for kind, marks in (("Lab", "Lab"), ("LCh", "LCh"), ("XYZ", "XYZ")):
        first, second, third = (roles.get(mark, []) for mark in marks)
        for place in first:
            if place + 1 in second and place + 2 in third:
                return kind, (place, place + 1, place + 2)
        for place in first:
            suffix = _inside(titles[place])
            partners = [[p for p in some if _inside(titles[p]) == suffix] for some in (second, third)]
            if all(len(some) == 1 for some in partners):
                return kind, (place, partners[0][0], partners[1][0])
    return "", ()


def _inside(title: str) -> str:
    match = _INSIDE.match(title.strip())
    return match["inside"] if match else ""


def _word(title: str) -> str:
    match = _INSIDE.match(title.strip())
    return _MARKS.sub("", (match["word"] if match else title).upper())


def _reason(title: str) -> str:
    word = _word(title)
    return next((reason for pattern, reason in UNUSED if re.match(pattern, word)), "nothing that is known")

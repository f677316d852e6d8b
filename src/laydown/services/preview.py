"""How the print of a plan will look on its garment, today and on a later day."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from laydown.domain.plan import Plan
from laydown.domain.shop import Shop
from laydown.domain.validity import within
from laydown.services.plates import PrintPlates, plates_of
from laydown.services.what_if import assess_again
from laydown.units import to_mm

if TYPE_CHECKING:
    from laydown.artwork.preview import Difference, PrintImage, Stain

MARGIN = 0.02
"""Cloth that is shown around a print [m]."""

USUAL_COLUMNS = 1000

SEEN = 0.05
"""Colour difference [CIEDE2000] from which dye is said to change a print: what is shown as 0.1."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Preview:
    """A print as it will look.

    Attributes
    ----------
    place : str
    day : float
        Days after printing.
    today : PrintImage
        Without any dye in it.
    then : PrintImage
        On the day.
    art : PrintImage
        What was drawn, on the same cloth.
    from_art : Difference
        Of the print on that day to the art.
    from_today : Difference
        Of the print on that day to the clean one.
    sentence : str
        What changed, and where it is worst.
    """

    place: str
    day: float
    today: PrintImage
    then: PrintImage
    art: PrintImage
    from_art: Difference
    from_today: Difference
    sentence: str

    def png(self, what: str = "then") -> bytes:
        """PNG of ``today``, ``then`` or ``art``, with its physical size."""
        from laydown.artwork.preview import png_bytes

        image: PrintImage = {"today": self.today, "then": self.then, "art": self.art}[what]
        return png_bytes(image.srgb, width=image.width)

    def map_png(self, what: str = "from_today", *, columns: int = USUAL_COLUMNS) -> bytes:
        """PNG of a difference map: white is no difference, black 10 CIEDE2000 and above."""
        from laydown.artwork.preview import map_pixels, png_bytes

        found: Difference = {"from_today": self.from_today, "from_art": self.from_art}[what]
        return png_bytes(map_pixels(found, columns=columns), width=self.today.width)


def preview(
    shop: Shop,
    plan: Plan,
    folder: Path | str,
    *,
    print_index: int = 0,
    day: float = 0.0,
    columns: int = USUAL_COLUMNS,
    made: PrintPlates | None = None,
) -> Preview:
    """Show one print of a plan.

    Parameters
    ----------
    shop : Shop
    plan : Plan
    folder : Path
        That the order's art lies in.
    print_index : int
        Which print, counted from 0.
    day : float
        Days after printing, 0 to 60.
    columns : int
        Pixels across, cloth around the print included.
    made : PrintPlates, optional
        Plates from `laydown.services.plates.plates_of`, when they are there already.

    Raises
    ------
    InvalidInput
        When the print has no art or no stack, the art cannot be read, or the day lies outside 0 to 60.
    """
    from laydown.artwork.preview import art_image, difference, print_image, with_cloth

    within("day of the preview", day, 0.0, 60.0, "days")
    made = made or plates_of(shop, plan, folder, print_index=print_index)
    margin = MARGIN / (made.plates[0].width + 2 * MARGIN)
    across = max(16, round(columns * (1 - 2 * margin)))
    today = print_image(made.plates, made.layers, columns=across)
    stain = stain_on(shop, plan, day, print_index=print_index)
    then = today if stain is None else print_image(made.plates, made.layers, columns=across, stain=stain)
    art = art_image(made.picture, made.layers, columns=across)
    from_today, from_art = difference(today, then), difference(art, then)
    sentence = _sentence(made, day, from_today, from_art)
    return Preview(
        place=made.place,
        day=day,
        today=with_cloth(today, made.layers, margin=MARGIN),
        then=with_cloth(then, made.layers, margin=MARGIN),
        art=with_cloth(art, made.layers, margin=MARGIN),
        from_art=from_art,
        from_today=from_today,
        sentence=sentence,
    )


def stain_on(shop: Shop, plan: Plan, day: float, *, print_index: int = 0) -> Stain | None:
    """What the dye leaves of each colour of a print on a day; None where no dye migrates."""
    from laydown.artwork.preview import SHOWN_AS, StainKey
    from laydown.data.colorimetric import tristimulus_weights
    from laydown.physics.colorimetry import reflectance_to_xyz
    from laydown.planning.shown import seen_colours

    job, tried = assess_again(shop, plan, print_index=print_index)
    if job.cloth.migrating_share <= 0 or tried.setup is None:
        return None
    weights = tristimulus_weights(SHOWN_AS)
    return {
        StainKey(ink=seen.ink, on_white=seen.on_white, highlight=seen.highlight): reflectance_to_xyz(
            seen.reflectance[0], weights
        )
        / reflectance_to_xyz(seen.clean, weights)
        for seen in seen_colours(job, tried, (day,))
    }


def _sentence(made: PrintPlates, day: float, from_today: Difference, from_art: Difference) -> str:
    from laydown.artwork.preview import seen_at

    def where(found: Difference) -> str:
        name = seen_at(made.plates, made.layers, across=found.across, down=found.down)
        return (
            f"{name}, {to_mm(found.across):.0f} mm from the left and {to_mm(found.down):.0f} mm from the top: "
            f"ΔE00 {found.worst:.1f}"
        )

    art = f"against the art ΔE00 {from_art.mean:.1f} on average, worst at {where(from_art)}"
    if day == 0 or from_today.worst < SEEN:
        return f"{art}; no dye comes into the print by day {day:g}" if day else art
    return (
        f"by day {day:g} the dye changes the print by ΔE00 {from_today.mean:.1f} on average, worst at "
        f"{where(from_today)}; {art}"
    )

"""Whether a colour may stand beside those that were read off a swatch before."""

from __future__ import annotations

from collections.abc import Sequence

from laydown.domain.measurement import ColourMeasurement
from laydown.domain.reading import Reading, standing
from laydown.errors import InvalidInput
from laydown.models.comparability import labs_to_compare


def compared(before: Sequence[Reading], value: ColourMeasurement, *, corrects: int | None = None) -> tuple[str, ...]:
    """Warnings that go with comparing a colour with the first that was read off its swatch.

    Parameters
    ----------
    before : sequence of Reading
        Of the swatch.
    corrects : int, optional
        Reading that the new one takes the place of; it is not compared with.

    Raises
    ------
    InvalidInput
        When the two cannot be compared: the light differs and no spectrum tells the other's, or what the instruments
        looked at differs.
    """
    colours = [
        one.value
        for one in standing(tuple(before))
        if isinstance(one.value, ColourMeasurement) and one.number != corrects
    ]
    if not colours:
        return ()
    first = colours[0]
    condition = first.conditions.condition or value.conditions.condition or "D65/10"
    try:
        return labs_to_compare((first, value), condition)[1]
    except InvalidInput as error:
        raise InvalidInput(f"{error.what}; the swatch was read under {condition} first", where="conditions") from None

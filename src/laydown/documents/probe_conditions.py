"""How a dryer was set while a probe ran, as a table."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field

from laydown.documents.sentences import told_at, validated
from laydown.domain.probe_log import ProbeConditions


class ConditionsEntry(BaseModel):
    """Conditions of a log, in SI units."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    dryer: Annotated[str, Field(max_length=80, description="Name of the dryer.")]
    garment: Annotated[str, Field(max_length=80, description="Garment on the belt, by its name on the shelf.")]
    date: Annotated[dt.date, Field(description="Day on which it was taken.")]
    setting_k: Annotated[float, Field(ge=280, le=3000, description="Panel setting.")]
    speed_m_per_s: Annotated[float | None, Field(gt=0, le=2, description="Belt speed as dialled.")] = None
    film_m: Annotated[float, Field(ge=0, le=2e-3, description="Ink on the test piece.")] = 0.0
    flash_s: Annotated[float | None, Field(ge=1, le=120, description="How long a flash lasted as set.")] = None
    note: Annotated[str, Field(max_length=2000, description="Anything worth knowing.")] = ""


def conditions_table(conditions: ProbeConditions) -> dict[str, Any]:
    """Table of conditions, with JSON types only."""
    return {
        "dryer": conditions.dryer,
        "garment": conditions.garment,
        "date": conditions.date.isoformat(),
        "setting_k": conditions.setting,
        "speed_m_per_s": conditions.speed,
        "film_m": conditions.film,
        # Left out for a dryer, so that what was kept before is written as it was.
        **({} if conditions.flash_seconds is None else {"flash_s": conditions.flash_seconds}),
        "note": conditions.note,
    }


def conditions_from(table: Mapping[str, Any], *, where: str) -> ProbeConditions:
    """Conditions of a table.

    Raises
    ------
    InvalidInput
        When it is none.
    """
    entry = validated(ConditionsEntry, table, where=where)
    with told_at(where):
        return ProbeConditions(
            dryer=entry.dryer,
            garment=entry.garment,
            date=entry.date,
            setting=entry.setting_k,
            speed=entry.speed_m_per_s,
            film=entry.film_m,
            flash_seconds=entry.flash_s,
            note=entry.note,
        )

"""Findings of cloths as JSON, and back, to the last bit."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated, Any

from pydantic import AwareDatetime, Field

from laydown.documents.entry import Entry
from laydown.documents.sentences import told_at, validated
from laydown.domain.finding import ClothFinding, Level
from laydown.domain.garment import Dye
from laydown.errors import InvalidInput

FINDINGS_FILE = "swatches.json"
"""File of a shop's folder that holds its lab, and with it what its tests say of its cloths; it may be missing."""


class FindingEntry(Entry):
    """What a shop's tests say of a cloth."""

    level: Annotated[Level, Field(strict=False)] = Field(description="How near to a garment the tests lie.")
    garment: str = Field(default="", max_length=80, description="Shelf name of the cloth.")
    lot: str = Field(default="", max_length=80, description="Lot of the cloth.")
    dye: Annotated[Dye, Field(strict=False)] = Field(default=Dye.UNKNOWN, description="Dye class.")
    dimensions: list[str] = Field(
        min_length=1, max_length=500, description="Directions that the numbers of a draw are along."
    )
    draws: list[list[float]] = Field(min_length=2, max_length=100_000, description="Draws, standard normal.")
    swatches: list[int] = Field(default=[], description="Numbers of the swatches that it rests on.")
    readings: int = Field(ge=0, description="How many readings were used.")
    fitted_at: Annotated[AwareDatetime, Field(strict=False)] = Field(description="When it was fitted.")
    priors: str = Field(max_length=200, description="Fingerprint of the priors that the positions refer to.")
    effective: float = Field(default=0.0, description="Independent draws that the draws are worth.")
    notes: list[str] = Field(default=[], max_length=500, description="What the fit says against itself.")


def finding_document(finding: ClothFinding) -> dict[str, Any]:
    """JSON of a finding; `finding_from` reads the same finding from it."""
    return {
        "level": str(finding.level),
        "garment": finding.garment,
        "lot": finding.lot,
        "dye": str(finding.dye),
        "dimensions": list(finding.dimensions),
        "draws": [list(draw) for draw in finding.draws],
        "swatches": list(finding.swatches),
        "readings": finding.readings,
        "fitted_at": finding.fitted_at.isoformat(),
        "priors": finding.priors,
        "effective": finding.effective,
        "notes": list(finding.notes),
    }


def finding_from(document: Any, *, where: str) -> ClothFinding:
    """Finding of a document.

    Raises
    ------
    InvalidInput
        When it is none.
    """
    entry = validated(FindingEntry, document, where=where)
    with told_at(where):
        return ClothFinding(
            level=entry.level,
            garment=entry.garment,
            lot=entry.lot,
            dye=entry.dye,
            dimensions=tuple(entry.dimensions),
            draws=tuple(tuple(map(float, draw)) for draw in entry.draws),
            swatches=tuple(entry.swatches),
            readings=entry.readings,
            fitted_at=entry.fitted_at,
            priors=entry.priors,
            effective=float(entry.effective),
            notes=tuple(entry.notes),
        )


def finding_text(finding: ClothFinding) -> str:
    """JSON text of a finding; the same finding always gives the same text."""
    return json.dumps(finding_document(finding), sort_keys=True, separators=(",", ":"), allow_nan=False)


def read_findings(path: Path) -> tuple[ClothFinding, ...]:
    """Newest finding about each thing in the lab's file of a shop's folder; none when there is no such file.

    Raises
    ------
    InvalidInput
        When the file cannot be used.
    """
    if not path.exists():
        return ()
    where = str(path)
    try:
        rows = json.loads(path.read_text(encoding="utf-8"))["findings"]
        found = [finding_from(one["finding"], where=where) for one in rows]
    except InvalidInput:
        raise
    except (OSError, ValueError, TypeError, KeyError, RecursionError) as error:
        raise InvalidInput(f"this describes no lab ({error})", where=where) from None
    newest = {(one.level, one.garment, one.lot, one.dye): one for one in found}
    return tuple(newest.values())

"""A list of masses or tones, for programs."""

from __future__ import annotations

import datetime as dt

from pydantic import BaseModel, Field

from laydown.documents.reading_list import LARGEST
from laydown.domain.protocol import Reads
from laydown.services import reading_list
from laydown.web.needs import needs
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("lab")


class ListIn(BaseModel):
    """A list in CSV."""

    text: str = Field(min_length=1, max_length=LARGEST, description="CSV; the page of the lab names its columns.")
    keep: bool = Field(default=False, description="Keep it; without it the list is only looked at.")


class ListedOut(BaseModel):
    """One reading of a list."""

    line: int
    swatch: int
    reads: Reads
    part: str
    area: str
    value: float = Field(description="Mass in kg, tone as a share of one.")
    taken_at: dt.datetime | None


class ListOut(BaseModel):
    """What a list says."""

    kept: bool
    new: int
    same: int = Field(description="Readings that were kept before.")
    readings: list[ListedOut]


@router.post("/lab/list", response_model=ListOut, responses=problems_of(400))
@needs("enter readings")
def enter(state: State, who: Who, wanted: ListIn) -> ListOut:
    """Look at a list of masses or tones, or keep it: every line or none."""
    act = reading_list.keep if wanted.keep else reading_list.look
    found = act(state.store, "the list", wanted.text, who=who.name)
    return ListOut(
        kept=wanted.keep,
        new=found.new,
        same=found.same,
        readings=[ListedOut(**{name: getattr(one, name) for name in ListedOut.model_fields}) for one in found.readings],
    )

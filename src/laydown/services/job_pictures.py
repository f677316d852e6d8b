"""Long work of the kind ``pictures``: the prints of a plan on their garment, on the days that a page shows."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from laydown.services import plan_book
from laydown.services.job_progress import Progress
from laydown.store import files, jobs
from laydown.store.database import Store
from laydown.store.jobs import Job

DAYS = (0.0, 1.0, 3.0, 7.0, 14.0, 21.0, 30.0, 45.0, 60.0)
COLUMNS = 720


def make_pictures(store: Store, job: Job, progress: Progress) -> Mapping[str, Any]:
    """Show every print with art on each day; kept in the store.

    Parameters
    ----------
    store : Store
    job : Job
        Its request has ``order`` and ``number``.
    progress : Progress

    Returns
    -------
    mapping
        ``order``, ``number`` and ``prints`` with ``index``, ``art`` (SHA-256), and ``days`` with ``day``,
        ``sha256`` and ``sentence``.

    Raises
    ------
    InvalidInput, NotFound
        When the art cannot be read any more.
    """
    from laydown.services.plan_book_view import read_both
    from laydown.services.plates import plates_of
    from laydown.services.preview import preview

    order_id, number = int(job.request["order"]), int(job.request["number"])
    progress("reading the plan and its art", 0.02)
    sheet = plan_book.sheet(store, order_id, number)
    plan, shop = read_both(*plan_book.texts(store, sheet.stored))
    made: list[tuple[int, bytes, list[tuple[float, bytes, str]]]] = []
    with tempfile.TemporaryDirectory(prefix="laydown-pictures-") as place:
        folder = plan_book.write_art(store, order_id, sheet.stored.order_version, Path(place))
        shown = [i for i, p in enumerate(plan.order.prints) if p.art is not None and plan.prints[i].stack is not None]
        for done, index in enumerate(shown):
            plates = plates_of(shop, plan, folder, print_index=index)
            days: list[tuple[float, bytes, str]] = []
            art = b""
            forecast = plan.prints[index].forecast
            moves = forecast is not None and forecast.bleed.applies
            for step, day in enumerate(DAYS if moves else DAYS[:1]):
                progress(
                    f"printing the {plan.prints[index].place}, day {day:g}", (done + step / len(DAYS)) / len(shown)
                )
                seen = preview(shop, plan, folder, print_index=index, day=day, columns=COLUMNS, made=plates)
                days.append((day, seen.png(), seen.sentence))
                art = art or seen.png("art")
            made.append((index, art, days))
    with store.write(who=job.made_by) as tx:
        result: dict[str, Any] = {"order": order_id, "number": number, "prints": []}
        for index, art, days in made:
            result["prints"].append(
                {
                    "index": index,
                    "art": files.put(tx, art).sha256,
                    "days": [
                        {"day": f"{day:g}", "sha256": files.put(tx, png).sha256, "sentence": sentence}
                        for day, png, sentence in days
                    ],
                }
            )
        jobs.finish(tx, job.id, result)
    return result

"""Long work of the kind ``films``: the films of a plan, in one file to download."""

from __future__ import annotations

import tempfile
import zipfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from laydown.errors import InvalidInput
from laydown.services import plan_book
from laydown.services.job_progress import Progress
from laydown.store import files, jobs
from laydown.store.database import Store
from laydown.store.jobs import Job


def make_films(store: Store, job: Job, progress: Progress) -> Mapping[str, Any]:
    """Write the films of every print with art into one archive; kept in the store.

    Parameters
    ----------
    store : Store
    job : Job
        Its request has ``order`` and ``number``.
    progress : Progress

    Returns
    -------
    mapping
        ``order``, ``number``, ``sha256``, ``names`` of the films and ``remarks`` on plates that a mesh does not hold.

    Raises
    ------
    InvalidInput
        When no print of the plan has art.
    """
    from laydown.services.plan_book_view import read_both
    from laydown.services.plates import checks_of, plates_of, write_plates

    order_id, number = int(job.request["order"]), int(job.request["number"])
    progress("reading the plan and its art", 0.02)
    sheet = plan_book.sheet(store, order_id, number)
    plan, shop = read_both(*plan_book.texts(store, sheet.stored))
    shown = [i for i, p in enumerate(plan.order.prints) if p.art is not None and plan.prints[i].stack is not None]
    if not shown:
        raise InvalidInput("films need art and a stack; this plan has no print with both")
    names: list[str] = []
    remarks: list[str] = []
    with tempfile.TemporaryDirectory(prefix="laydown-films-") as place:
        folder = plan_book.write_art(store, order_id, sheet.stored.order_version, Path(place) / "art")
        archive = Path(place) / "films.zip"
        with zipfile.ZipFile(archive, "w", zipfile.ZIP_DEFLATED) as packed:
            for done, index in enumerate(shown):
                progress(f"separating the {plan.prints[index].place}", done / len(shown))
                made = plates_of(shop, plan, folder, print_index=index)
                remarks += [f"{name}: {check.sentence}" for name, check in checks_of(made) if not check.ok]
                out = Path(place) / f"films{index}"
                out.mkdir()

                def told(films: int, done: int = done, number: int = len(made.plates)) -> None:
                    progress(f"{films} of {number} films written", (done + 0.2 + 0.7 * films / number) / len(shown))

                write_plates(shop, plan, made, out, finished=told)
                for path in sorted(out.iterdir()):
                    name = path.name if len(shown) == 1 else f"{made.place}/{path.name}"
                    packed.write(path, name)
                    names.append(name)
        progress("keeping the films", 0.97)
        with archive.open("rb") as content, store.write(who=job.made_by) as tx:
            kept = files.put(tx, content)
            result = {
                "order": order_id,
                "number": number,
                "sha256": kept.sha256,
                "size": kept.size,
                "names": names,
                "remarks": remarks,
            }
            jobs.finish(tx, job.id, result)
    return result

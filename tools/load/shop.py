"""A shop to walk about in: the demo shop with orders of a season, most of them planned, and people who log in."""

from __future__ import annotations

import datetime as dt
import json
import re
from dataclasses import dataclass

from laydown.documents.template import demo_art, demo_folder, demo_order_texts
from laydown.services import opening
from laydown.services.planning import plan_order
from laydown.services.schemas import plan_json
from laydown.services.shelves import open_shop, read_order
from laydown.store import files, orders, passwords, plans, users
from laydown.store.database import Store

PLANNED = (
    "01-gig-night-black-tees",
    "05-running-club-red-polyester",
    "14-festival-multicolour-black",
    "16-sailing-hoodies-navy",
    "19-lighthouse-tees",
)
"""Demo orders whose plans the season's orders get, each under its own name: light and dark, one print and two."""

PASSWORD = "a password of the load"
OPEN = 40
"""Orders that are open at a time; the others of the season are done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers:
    """What people open: orders with a plan that are open, all orders, and what stands on the shelves.

    Attributes
    ----------
    newest : dict
        Number of the plan that an order is printed by.
    """

    newest: dict[int, int]
    open: tuple[int, ...]
    planned: tuple[int, ...]
    compared: tuple[int, ...]
    names: tuple[str, ...]
    inks: tuple[str, ...]
    garments: tuple[str, ...]


def make_shop(url: str, *, season: int, readers: int, writers: int, planned: tuple[str, ...] = PLANNED) -> Numbers:
    """Fill an empty database; takes as long as planning the demo orders takes."""
    shop, texts, art = open_shop(), demo_order_texts(), demo_art()
    made = {key: plan_json(plan_order(shop, read_order(demo_folder() / f"{key}.toml", shop))) for key in planned}
    with opening.open_database(url) as store:
        opening.start_demo(store, who="load")
        _take_people_in(store, readers, writers)
        today = dt.datetime.now(dt.UTC).date()
        newest: dict[int, int] = {}
        compared: list[int] = []
        for number in range(season):
            key = planned[number % len(planned)]
            text = texts[f"{key}.toml"]
            name = f"{_said(text, 'name')} {number}"
            due = today + dt.timedelta(days=number - 5) if number < OPEN else today - dt.timedelta(days=number)
            placed = due - dt.timedelta(days=14)
            head = {"name": name, "id": f"S-{number:04d}", "placed": placed.isoformat(), "due": due.isoformat()}
            new = _with_head(text, head)
            plan = json.loads(made[key])
            plan["order"] |= head
            with store.write(who="load") as tx:
                named = {one: files.put(tx, content).sha256 for one, content in art.items() if f'"{one}"' in text}
                order = orders.add(tx, new, files=named)
                versions = 2 if number % 3 == 0 else 1
                for version in range(versions):
                    kept = plans.add(tx, order.id, _plan_text(plan, version), shop, order_version=1)
                order = orders.approve(tx, order.id, kept.number, revision=orders.get(tx, order.id).revision)
                if number >= OPEN:
                    orders.set_state(tx, order.id, "done", revision=order.revision)
                newest[order.id] = kept.number
                compared += [order.id] if versions > 1 else []
        current, numbers = opening.current_shop(store), tuple(newest)
        return Numbers(
            newest=newest,
            open=numbers[:OPEN],
            planned=numbers,
            compared=tuple(compared),
            names=tuple({_said(texts[f"{key}.toml"], "name").split()[0] for key in planned}),
            inks=tuple(one.name for one in current.inks),
            garments=tuple(one.name for one in current.garments),
        )


def names_of(readers: int, writers: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Names of the people who read and of those who write."""
    return tuple(f"Reader {i}" for i in range(readers)), tuple(f"Writer {i}" for i in range(writers))


def _take_people_in(store: Store, readers: int, writers: int) -> None:
    # Everybody has the same password here, so it is hashed once.
    hashed = passwords.hash_password(PASSWORD)
    with store.write(who="load") as tx:
        for names, role in zip(names_of(readers, writers), ("owner", "lead"), strict=True):
            for name in names:
                users.add(tx, name, role, password_hash=hashed)


def _plan_text(plan: dict[str, object], version: int) -> str:
    return json.dumps(plan, indent=2, ensure_ascii=False) + "\n" * (version + 1)


def _said(text: str, key: str) -> str:
    found = re.search(rf'^{key} = "(.*)"$', text, re.MULTILINE)
    return found[1] if found else ""


def _with_head(text: str, head: dict[str, str]) -> str:
    for key, value in head.items():
        said = f'"{value}"' if key in {"name", "id"} else value
        text = re.sub(rf"^{key} = .*$", f"{key} = {said}", text, count=1, flags=re.MULTILINE)
    return text

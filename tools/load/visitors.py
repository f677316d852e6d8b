"""People at a screen: they open a page, look at it for about a second, and open the next; some enter things."""

from __future__ import annotations

import asyncio
import datetime as dt
import random
import re
import time
import uuid
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import quote

import httpx2
from shop import PASSWORD, Numbers

Pick = Callable[[random.Random, Numbers], str]


def _plan(r: random.Random, n: Numbers) -> str:
    # Mostly what is printed these days, now and then an order of long ago, or a plan that another took the place of.
    order = r.choice(n.open if r.random() < 0.95 else n.planned)
    return f"/orders/{order}/plans/{n.newest[order] if r.random() < 0.97 else 1}"


PAGES: tuple[tuple[str, int, Pick], ...] = (
    ("today", 10, lambda _r, _n: "/"),
    ("orders", 10, lambda r, _n: r.choice(("/orders", "/orders?only=approved", "/orders?page=2"))),
    ("orders, searched", 6, lambda r, n: f"/orders?q={r.choice(n.names).lower()}"),
    ("order", 12, lambda r, n: f"/orders/{r.choice(n.open if r.random() < 0.8 else n.planned)}"),
    ("order, its text", 1, lambda r, n: f"/orders/{r.choice(n.open)}/edit"),
    ("new order", 2, lambda _r, _n: "/orders/new"),
    ("plan", 16, _plan),
    ("plan, the others searched", 2, lambda r, n: f"{_plan(r, n)}?others=0&q=white&sort=cost"),
    ("plan, where a number is from", 2, lambda r, n: f"{_plan(r, n)}/explain?path=prints[0].forecast.cure.margin_k"),
    ("two plans", 2, lambda r, n: f"/orders/{r.choice(n.compared)}/compare?a=1&b=2"),
    ("at the press", 10, lambda r, n: f"/press/{r.choice(n.open)}"),
    ("shelves", 3, lambda _r, _n: "/shelves"),
    ("a shelf", 5, lambda r, _n: f"/shelves/{r.choice(('inks', 'garments', 'screens', 'presses', 'dryers', 'rules'))}"),
    ("a rate", 1, lambda r, _n: f"/shelves/{r.choice(('costs', 'climate', 'practice', 'preferences'))}"),
    ("shelf item", 4, lambda r, n: f"/shelves/inks/item?name={quote(r.choice(n.inks))}"),
    ("shelf item, its form", 2, lambda r, n: f"/shelves/garments/edit?name={quote(r.choice(n.garments))}"),
    ("log", 3, lambda r, _n: r.choice(("/log", "/log?kind=order"))),
    ("long work", 1, lambda _r, _n: "/jobs"),
    ("people", 1, lambda _r, _n: "/people"),
    ("account", 1, lambda _r, _n: "/account"),
    ("exchange", 1, lambda r, _n: r.choice(("/shop/exchange", "/catalogue"))),
    ("for programs", 1, lambda _r, _n: "/programs"),
    ("program reads", 2, lambda r, n: r.choice(("/api/orders", f"/api/press/{r.choice(n.open)}", "/api/shelves/inks"))),
)
"""Kinds of page, how often each is opened, and an address of that kind."""

ANSWERS = ("what if", "ticket")
"""What is worked out when somebody asks; these are not pages, and come beside them."""

SHARE_OF_ANSWERS, SHARE_OF_TICKETS = 0.02, 0.1
"""How many of the readers' requests are answers, and how many of those are tickets: one is printed for an order."""


@dataclass(slots=True)
class Seen:
    """What all visitors saw.

    Attributes
    ----------
    seconds : dict
        By kind of page, how long each answer took to its last byte.
    errors : list of str
        Every answer that was none of the expected.
    entries : dict
        Key of each confirmed entry at the press, and how often it was sent.
    prices, states, orders : list
        Confirmed changes of shelf items (name, price) and of orders (number, state), and names of new orders.
    late : int
        Changes that were refused as somebody else had been faster; each was made again from what stood there then.
    """

    seconds: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    errors: list[str] = field(default_factory=list)
    entries: Counter[str] = field(default_factory=Counter)
    prices: list[tuple[str, float]] = field(default_factory=list)
    states: list[tuple[int, str]] = field(default_factory=list)
    orders: list[str] = field(default_factory=list)
    late: int = 0


class Visitor:
    """A person with a browser that keeps its connection open."""

    def __init__(self, base: str, name: str, numbers: Numbers, seen: Seen, *, think: float, seed: int) -> None:
        self._client = httpx2.AsyncClient(base_url=base, timeout=60.0, headers={"accept-encoding": "gzip"})
        self._base, self._name, self._numbers, self._seen, self._think = base, name, numbers, seen, think
        self._random = random.Random(seed)
        self._csrf = ""

    async def log_in(self) -> None:
        """Log in as anybody does."""
        page = await self._client.get("/login")
        self._csrf = _token(page.text)
        said = {"csrf": self._csrf, "name": self._name, "password": PASSWORD}
        answer = await self._client.post("/login", data=said, headers={"origin": self._base})
        if answer.status_code != 303:
            raise SystemExit(f"{self._name} could not log in: {answer.status_code}")
        self._csrf = _token((await self._client.get("/account")).text)

    async def read(self, until: float) -> None:
        """Open pages until the time is over."""
        kinds, weights = [(kind, pick) for kind, _, pick in PAGES], [weight for _, weight, _ in PAGES]
        await asyncio.sleep(self._random.random() * self._think)
        while time.monotonic() < until:
            if self._random.random() < SHARE_OF_ANSWERS:
                await self._ask()
            else:
                ((kind, pick),) = self._random.choices(kinds, weights)
                await self._timed(kind, "GET", pick(self._random, self._numbers))
            await self._look()
        await self._client.aclose()

    async def write(self, until: float) -> None:
        """Enter what happens at the press, change the price of an ink, say how far an order is."""
        await asyncio.sleep(self._random.random() * self._think)
        while time.monotonic() < until:
            await self._random.choice((self._enter,) * 4 + (self._price,) * 2 + (self._state,) * 2 + (self._order,))()
            await self._look()
        await self._client.aclose()

    async def _look(self) -> None:
        await asyncio.sleep(self._random.uniform(0.5, 1.5) * self._think)

    async def _ask(self) -> None:
        order = self._random.choice(self._numbers.open)
        at = f"/orders/{order}/plans/{self._numbers.newest[order]}"
        if self._random.random() >= SHARE_OF_TICKETS:
            said = {"csrf": self._csrf, "print": "0", "part": "1", "quantity": str(self._random.randint(20, 400))}
            await self._timed("what if", "POST", f"{at}/what-if", data=said)
        else:
            await self._timed("ticket", "GET", f"{at}/ticket.pdf")

    async def _enter(self) -> None:
        order, key = self._random.choice(self._numbers.open), uuid.uuid4().hex
        said = {"csrf": self._csrf, "kind": "count", "key": key, "pieces": str(self._random.randint(1, 40))}
        # The answer may get lost on its way, and the page then sends the entry again.
        for _ in range(2 if self._random.random() < 0.2 else 1):
            answer = await self._timed("write: entry at the press", "POST", f"/press/{order}/entries", 303, data=said)
            if answer is not None:
                self._seen.entries[key] += 1

    async def _price(self) -> None:
        name = self._random.choice(self._numbers.inks)
        at = f"/api/shelves/inks/{quote(name, safe='')}"
        price = round(self._random.uniform(5, 50), 4)
        for _ in range(20):
            item = await self._timed("program reads", "GET", at)
            if item is None:
                return
            stands = item.json()
            document = stands["document"] | {"price_per_kg": price}
            said = {"document": document, "revision": stands["revision"], "note": stands["note"]}
            answer = await self._timed("write: shelf item", "PUT", at, 200, 409, json=said)
            if answer is None:
                return
            if answer.status_code == 200:
                self._seen.prices.append((name, price))
                return
            self._seen.late += 1

    async def _state(self) -> None:
        order = self._random.choice(self._numbers.open)
        for _ in range(20):
            page = await self._timed("order", "GET", f"/orders/{order}")
            if page is None:
                return
            revision = re.search(r'name="revision" value="(\d+)"', page.text)
            steps = [one for one in re.findall(r'name="to" value="(\w+)"', page.text) if one != "cancelled"]
            if revision is None or not steps:
                self._seen.errors.append(f"the page of order {order} offers no next state")
                return
            to = steps[0]
            said = {"csrf": self._csrf, "to": to, "revision": revision[1]}
            answer = await self._timed(
                "write: state of an order", "POST", f"/orders/{order}/state", 303, 409, data=said
            )
            if answer is None:
                return
            if answer.status_code == 303:
                self._seen.states.append((order, to))
                return
            self._seen.late += 1

    async def _order(self) -> None:
        name = f"Taken in {uuid.uuid4().hex[:12]}"
        said = {
            "csrf": self._csrf,
            "way": "form",
            "then": "later",
            "name": name,
            "quantity": "96",
            "due": (dt.datetime.now(dt.UTC) + dt.timedelta(days=200)).date().isoformat(),
            "garment": self._numbers.garments[0],
            "p0_place": "front",
            "p0_width": "280",
            "p0_height": "320",
            "p0_inks": "white",
            "p0_coverage": "42",
        }
        if await self._timed("write: new order", "POST", "/orders/new", 303, data=said) is not None:
            self._seen.orders.append(name)

    async def _timed(
        self, kind: str, method: str, at: str, *wanted: int, data: dict[str, str] | None = None, json: object = None
    ) -> httpx2.Response | None:
        headers = {"origin": self._base, "x-csrf-token": self._csrf} if method != "GET" else {}
        begun = time.monotonic()
        try:
            answer = await self._client.request(method, at, data=data, json=json, headers=headers)
        except httpx2.HTTPError as error:
            self._seen.errors.append(f"{method} {at}: {error!r}")
            return None
        self._seen.seconds[kind].append(time.monotonic() - begun)
        if answer.status_code not in (wanted or (200,)):
            self._seen.errors.append(f"{method} {at}: {answer.status_code} {answer.text[:200]!r}")
            return None
        return answer


def _token(page: str) -> str:
    found = re.search(r'name="csrf" value="([^"]*)"', page)
    if found is None:
        raise SystemExit("a page has no token for its forms")
    return found[1]

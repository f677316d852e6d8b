"""Looking back: what was spoiled or claimed, and whether forecast risks came true as often as they said."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
from collections.abc import Sequence
from dataclasses import dataclass
from importlib.resources import files as package_files
from typing import Any

from sqlalchemy import select

from laydown.domain.outcome import CLAIM_CAUSES, Claim, OrderOutcome, Requirement
from laydown.domain.reliability import Reliability, SpoiledGroup
from laydown.errors import InvalidInput, NotFound
from laydown.lab.looking_back import GROUPINGS, by_cause, by_group
from laydown.lab.reliability import reliability
from laydown.store import claims, orders, plans
from laydown.store.claims import StoredClaim
from laydown.store.database import Store
from laydown.store.plans import StoredPlan
from laydown.store.schema import press_entries
from laydown.store.transaction import Transaction

__all__ = [
    "CLAIM_CAUSES",
    "LookingBack",
    "StoredClaim",
    "all_claims",
    "claims_of",
    "enter_claim",
    "example",
    "look_back",
    "standing_claim",
    "take_back",
]

PRINTED = ("count", "misprint")

EXAMPLE = "looking_back_example.csv"
EXAMPLE_DAY = dt.date(2026, 9, 30)


@dataclass(frozen=True, slots=True, kw_only=True)
class LookingBack:
    """What became of the orders that were printed.

    Attributes
    ----------
    outcomes : tuple of OrderOutcome
        By day of printing, the oldest first.
    since : date or None
        Orders printed before it are left out.
    reliability : tuple of Reliability
        For every requirement that a plan gives a risk for.
    causes : tuple of SpoiledGroup
    groups : tuple of (str, tuple of SpoiledGroup)
        By cloth, ink, lot, dryer day.
    invented : bool
        Whether these are the shipped example's orders.
    """

    outcomes: tuple[OrderOutcome, ...]
    since: dt.date | None
    reliability: tuple[Reliability, ...]
    causes: tuple[SpoiledGroup, ...]
    groups: tuple[tuple[str, tuple[SpoiledGroup, ...]], ...]
    invented: bool = False

    @property
    def pieces(self) -> int:
        """Pieces that went over the press."""
        return sum(one.handled for one in self.outcomes)


def look_back(store: Store, *, today: dt.date, since: dt.date | None = None) -> LookingBack:
    """Look at every order of which printed pieces were entered.

    Parameters
    ----------
    today : date
        An order whose bleed is still to be judged counts as not known yet.
    since : date, optional
        Leave out what was printed before.
    """
    with store.read() as tx:
        found = _outcomes(tx)
    return _looked_at(tuple(one for one in found if since is None or one.printed_on >= since), today, since)


def example() -> LookingBack:
    """Look at the invented orders that laydown ships, so that one sees what there will be to see."""
    text = (package_files("laydown.data") / EXAMPLE).read_text(encoding="utf-8")
    rows = csv.DictReader(io.StringIO("\n".join(line for line in text.splitlines() if not line.startswith("#"))))
    outcomes = tuple(_invented(number, row) for number, row in enumerate(rows, start=1))
    return _looked_at(outcomes, EXAMPLE_DAY, None, invented=True)


def enter_claim(
    store: Store, claim: Claim, *, key: str, who: str, today: dt.date, replaces: int | None = None
) -> tuple[StoredClaim, bool]:
    """Keep what a customer came back with; sent twice under the same key, it is kept once.

    Parameters
    ----------
    replaces : int, optional
        Claim that it corrects.

    Raises
    ------
    InvalidInput
        When it was received in the future, or is of more pieces than the order had.
    NotFound, Conflict
        As `laydown.store.claims.add`.
    """
    if claim.received_on > today + dt.timedelta(days=1):
        raise InvalidInput(f"{claim.received_on} lies in the future", where="received_on")
    with store.write(who=who) as tx:
        order = orders.get(tx, claim.order)
        if claim.pieces > order.quantity:
            raise InvalidInput(
                f"{claim.pieces} pieces are claimed of an order of {order.quantity}; claim at most those",
                where="pieces",
            )
        return claims.add(tx, claim, key=key, replaces=replaces)


def take_back(store: Store, number: int, *, key: str, who: str) -> None:
    """Take a claim back that was entered by mistake; it stays in the store and in the log.

    Raises
    ------
    NotFound, Conflict
        When there is no such claim, or it was corrected already.
    """
    with store.write(who=who) as tx:
        claims.add(tx, claims.get(tx, number).claim, key=key, replaces=number, aside=True)


def all_claims(store: Store) -> tuple[StoredClaim, ...]:
    """Every claim that holds, the newest first."""
    with store.read() as tx:
        return tuple(reversed(claims.standing(tx)))


def standing_claim(store: Store, number: int) -> StoredClaim:
    """Claim that holds, by its number.

    Raises
    ------
    NotFound
        When there is none, or it was corrected or taken back.
    """
    with store.read() as tx:
        held = {one.claim.number: one for one in claims.standing(tx)}
    if number not in held:
        raise NotFound("claim", str(number), map(str, held))
    return held[number]


def claims_of(store: Store, order_id: int) -> tuple[StoredClaim, ...]:
    """Claims about an order that hold, the oldest first."""
    with store.read() as tx:
        orders.get(tx, order_id)
        return claims.standing(tx, order=order_id)


def _looked_at(
    outcomes: Sequence[OrderOutcome], today: dt.date, since: dt.date | None, *, invented: bool = False
) -> LookingBack:
    ordered = tuple(sorted(outcomes, key=lambda one: (one.printed_on, one.order)))
    return LookingBack(
        outcomes=ordered,
        since=since,
        reliability=tuple(reliability(ordered, one, today=today) for one in Requirement),
        causes=by_cause(ordered),
        groups=tuple((name, by_group(ordered, name)) for name, _ in GROUPINGS),
        invented=invented,
    )


def _outcomes(tx: Transaction) -> list[OrderOutcome]:
    asked = select(press_entries).where(press_entries.c.kind.in_((*PRINTED, "withdrawal"))).order_by(press_entries.c.id)
    rows = list(tx.run(asked))
    withdrawn = {json.loads(row.document)["key"] for row in rows if row.kind == "withdrawal"}
    of: dict[int, list[Any]] = {}
    for row in rows:
        if row.kind != "withdrawal" and row.key not in withdrawn:
            of.setdefault(row.order_id, []).append(row)
    claimed: dict[int, list[Claim]] = {}
    for one in claims.standing(tx):
        claimed.setdefault(one.claim.order, []).append(one.claim)
    return [_outcome(tx, order_id, entries, tuple(claimed.get(order_id, ()))) for order_id, entries in of.items()]


def _outcome(tx: Transaction, order_id: int, entries: list[Any], claimed: tuple[Claim, ...]) -> OrderOutcome:
    pieces, misprints = 0, dict[str, int]()
    for row in entries:
        said = json.loads(row.document)
        if row.kind == "count":
            pieces += int(said["pieces"])
        else:
            misprints[said["cause"]] = misprints.get(said["cause"], 0) + int(said["pieces"])
    order = orders.get(tx, order_id)
    known = [one for one in plans.of_order(tx, order_id) if one.complete]
    chosen = next((one for one in known if one.number == order.approved_plan), known[-1] if known else None)
    fields = _of_plan(tx, chosen) if chosen is not None else {"cloth": order.garment}
    return OrderOutcome(
        order=order_id,
        name=order.name,
        # The day at the shop, not in Greenwich.
        printed_on=max(row.happened_at for row in entries).astimezone().date(),
        pieces=pieces,
        misprints=tuple(misprints.items()),
        claims=claimed,
        **fields,
    )


def _of_plan(tx: Transaction, plan: StoredPlan) -> dict[str, Any]:
    """What a plan says of its order: read once, as plans never change."""
    return tx.remembered.once(("outcome", plan.plan_sha256), lambda: told_by_plan(plans.text(tx, plan)))


def told_by_plan(text: str) -> dict[str, Any]:
    """Cloth, lot, inks, dryer and risks that a plan's JSON names, as fields of an `OrderOutcome`."""
    document = json.loads(text)
    order, prints = document.get("order") or {}, [one for one in document.get("prints") or () if one.get("forecast")]
    garment, needs = order.get("garment") or {}, order.get("requirements") or {}
    inks = [p["ink"] for one in prints for p in one["choice"]["passes"] if p.get("ink")]
    dryers = [one["settings"]["dryer"]["dryer"] for one in prints]
    risks = {
        Requirement.ALL: [one["forecast"]["fail_risk"] for one in prints],
        Requirement.BLEED: [one["forecast"]["bleed"]["risk"] for one in prints if one["forecast"]["bleed"]["applies"]],
        Requirement.OPACITY: [one["forecast"]["opacity"]["risk"] for one in prints],
        Requirement.CURE: [one["forecast"]["cure"]["risk"] for one in prints],
        Requirement.CLOTH: [one["forecast"]["cure"]["cloth_risk"] for one in prints],
    }
    return {
        "cloth": garment.get("name") or "unknown cloth",
        "lot": garment.get("lot") or "",
        "inks": tuple(dict.fromkeys(inks)),
        "dryer": ", ".join(dict.fromkeys(dryers)),
        "risks": tuple((name, _any_of(each)) for name, each in risks.items() if each),
        "allowed": needs.get("risk", 0.05),
        "bleed_days": needs.get("bleed_days", 30.0),
    }


def _any_of(risks: Sequence[float]) -> float:
    """Risk that any of an order's prints misses, taken as independent as the plan takes them."""
    passes = 1.0
    for risk in risks:
        passes *= 1 - risk
    return min(1.0, max(0.0, 1 - passes))


def _invented(number: int, row: dict[str, str]) -> OrderOutcome:
    printed = dt.date.fromisoformat(row["printed_on"])
    misprints = tuple(
        (cause.strip(), int(pieces))
        for cause, _, pieces in (one.partition(":") for one in row["misprints"].split(";"))
        if pieces
    )
    claimed: tuple[Claim, ...] = ()
    if row["claim"]:
        cause, pieces, days = row["claim"].split(":")
        received = printed + dt.timedelta(days=int(days))
        claimed = (Claim(order=number, cause=cause.strip(), pieces=int(pieces), received_on=received),)
    columns = ((Requirement.ALL, "risk"), (Requirement.BLEED, "bleed_risk"), (Requirement.OPACITY, "cover_risk"))
    return OrderOutcome(
        order=number,
        name=row["order"],
        printed_on=printed,
        cloth=row["cloth"],
        lot=row["lot"],
        inks=tuple(ink.strip() for ink in row["inks"].split(";")),
        dryer=row["dryer"],
        risks=tuple((name, float(row[column])) for name, column in columns if row[column]),
        pieces=int(row["pieces"]),
        misprints=misprints,
        claims=claimed,
    )

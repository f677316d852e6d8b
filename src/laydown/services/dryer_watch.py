"""Daily checks of dryers and flash units: enter one, look at the charts, and see which orders may be touched."""

from __future__ import annotations

import datetime as dt
import json
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from sqlalchemy import select

from laydown.documents.sentences import nearest
from laydown.domain.probe_check import FINEST, WORDS, CheckKind, ProbeCheck
from laydown.errors import InvalidInput, NotFound
from laydown.lab.control_chart import ControlChart, control_chart
from laydown.lab.control_words import sentences, verdict
from laydown.services import probe_machines
from laydown.store import orders, plans, probe_checks, shelves
from laydown.store import schema as tables
from laydown.store.database import Store
from laydown.store.probe_checks import StoredCheck
from laydown.store.transaction import Transaction

__all__ = ["Standing", "StoredCheck", "TouchedOrder", "Watch"]

OF_DRYERS = (CheckKind.PEAK, CheckKind.PANEL, CheckKind.BELT)
PRINTED = ("count", "misprint")


@dataclass(frozen=True, slots=True, kw_only=True)
class TouchedOrder:
    """An order that was printed since the last good check.

    Attributes
    ----------
    pieces : int
        Printed since then, misprints left out.
    sure : bool
        Whether its plan names this machine; otherwise it has no plan that would say.
    """

    id: int
    name: str
    pieces: int
    sure: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """A chart of one machine.

    Attributes
    ----------
    checks : tuple of StoredCheck
        The oldest first, from the one on at which limits were last reckoned anew.
    verdict : str
        Its state in one sentence.
    told : tuple of str
        Everything out of the ordinary, the newest first.
    last_good : datetime or None
        When everything was last well; None when that was never so, or no limits are drawn yet.
    touched : tuple of TouchedOrder
        Printed after it; empty while everything is well.
    """

    machine: str
    kind: CheckKind
    checks: tuple[StoredCheck, ...]
    chart: ControlChart
    verdict: str
    told: tuple[str, ...]
    last_good: dt.datetime | None
    touched: tuple[TouchedOrder, ...]

    @property
    def well(self) -> bool:
        """Whether the newest check shows nothing that needs somebody; also while there are too few to say."""
        return self.chart.in_control or self.chart.limits is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a machine stands by its checks, in a line.

    Attributes
    ----------
    well : bool or None
        None while no limits can be drawn.
    told : str
        What its charts say.
    last_good : datetime or None
        Newest check at which everything was well.
    """

    well: bool | None
    told: str
    last_good: dt.datetime | None


def standings(store: Store, names: Sequence[str]) -> dict[str, Standing]:
    """How machines stand by their checks; those that no shelf has any longer are left out."""
    with store.read() as tx:
        kinds, newest = dict(_machines(tx)), probe_checks.newest(tx)

        def standing(name: str) -> Standing:
            return _standing([_watch(tx, name, kind, orders=False) for kind in kinds[name]])

        # Every page of a plan asks; charts are worked out again when a check came in.
        return {
            name: tx.remembered.once(("standing", name, kinds[name], newest), partial(standing, name))
            for name in dict.fromkeys(names)
            if name in kinds
        }


def _standing(charts: Sequence[Watch]) -> Standing:
    checked = [one for one in charts if one.checks]
    bad = [one for one in checked if not one.well]
    if bad:
        # What one chart says is as old as its last good check: the machine is as good as its worst chart.
        good = [one.last_good for one in bad]
        oldest = None if None in good else min(moment for moment in good if moment is not None)
        return Standing(well=False, told="; ".join(one.verdict for one in bad), last_good=oldest)
    judged = [one.last_good for one in checked if one.chart.limits is not None and one.last_good is not None]
    if judged:
        return Standing(well=True, told="its checks vary by chance only", last_good=max(judged))
    if checked:
        return Standing(well=None, told="; ".join(one.verdict for one in checked), last_good=None)
    return Standing(well=None, told="never checked by a probe", last_good=None)


def kind_of(word: str) -> CheckKind:
    """Kind of check by its word.

    Raises
    ------
    InvalidInput
        When there is none.
    """
    try:
        return CheckKind(word)
    except ValueError:
        raise InvalidInput(
            f"{word!r} is not checked; {nearest(word, tuple(str(one) for one in CheckKind))}", where="kind"
        ) from None


def machines(store: Store) -> tuple[tuple[str, tuple[CheckKind, ...]], ...]:
    """Dryers and flash units of the shelves, and what is checked of each."""
    with store.read() as tx:
        return _machines(tx)


def enter(
    store: Store, check: ProbeCheck, *, key: str, who: str, replaces: int | None = None, aside: bool = False
) -> tuple[StoredCheck, bool]:
    """Keep a check; sent twice under the same key, it is kept once.

    Parameters
    ----------
    replaces : int, optional
        Check that it corrects.
    aside : bool
        Take that one out, and put nothing in its place.

    Raises
    ------
    NotFound
        When no such machine is on a shelf, or the corrected check is not there.
    InvalidInput, Conflict
        As `laydown.store.probe_checks.add`.
    """
    with store.write(who=who) as tx:
        _check_machine(tx, check)
        if check.happened_at > tx.now + dt.timedelta(hours=1):
            raise InvalidInput("the check lies in the future", where="happened_at")
        return probe_checks.add(tx, check, key=key, replaces=replaces, aside=aside)


def take_out(store: Store, number: int, *, key: str, who: str) -> None:
    """Take a check out of its chart; it stays in the store.

    Raises
    ------
    NotFound
        When there is no such check.
    Conflict
        When it was corrected or taken out already.
    """
    with store.write(who=who) as tx:
        old = probe_checks.get(tx, number)
        probe_checks.add(tx, old.check, key=key, replaces=number, aside=True)


def watch(store: Store, machine: str, kind: CheckKind) -> Watch:
    """Chart of one thing that is checked of a machine.

    Raises
    ------
    NotFound
        When no such machine is on a shelf.
    """
    with store.read() as tx:
        _kinds(tx, machine)
        return _watch(tx, machine, kind)


def watches(store: Store, machine: str) -> tuple[Watch, ...]:
    """Every chart of a machine.

    Raises
    ------
    NotFound
        When no such machine is on a shelf.
    """
    with store.read() as tx:
        return tuple(_watch(tx, machine, kind) for kind in _kinds(tx, machine))


def _kinds(tx: Transaction, machine: str) -> tuple[CheckKind, ...]:
    """What is checked of a machine."""
    known = dict(_machines(tx))
    if machine not in known:
        raise NotFound("dryer or flash unit", machine, known)
    return known[machine]


def _watch(tx: Transaction, machine: str, kind: CheckKind, *, orders: bool = True) -> Watch:
    checks = probe_checks.of_machine(tx, machine, kind)
    first = next((i for i in range(len(checks) - 1, 0, -1) if checks[i].check.anew), 0)
    checks = checks[first:]
    chart = control_chart([one.check.value for one in checks], least_sigma=FINEST[kind])
    place = chart.last_good if chart.limits is not None else None
    good = checks[place].check.happened_at if place is not None else None
    troubled = chart.limits is not None and not chart.in_control
    return Watch(
        machine=machine,
        kind=kind,
        checks=checks,
        chart=chart,
        verdict=verdict(chart, WORDS[kind]),
        told=sentences(chart, WORDS[kind]),
        last_good=good,
        touched=_printed_since(tx, machine, kind, good) if troubled and orders else (),
    )


def _machines(tx: Transaction) -> tuple[tuple[str, tuple[CheckKind, ...]], ...]:
    return tuple((name, (CheckKind.FLASH,) if flash else OF_DRYERS) for name, flash in probe_machines.names(tx))


def _check_machine(tx: Transaction, check: ProbeCheck) -> None:
    kinds = _kinds(tx, check.machine)
    if check.kind not in kinds:
        raise InvalidInput(
            f"{check.machine} has no {check.kind} to check; allowed are {', '.join(kinds)}", where="kind"
        )


def _printed_since(
    tx: Transaction, machine: str, kind: CheckKind, since: dt.datetime | None
) -> tuple[TouchedOrder, ...]:
    entries = tables.press_entries
    asked = select(entries).where(entries.c.kind.in_((*PRINTED, "withdrawal"))).order_by(entries.c.id)
    rows = list(tx.run(asked))
    withdrawn = {json.loads(row.document)["key"] for row in rows if row.kind == "withdrawal"}
    pieces: dict[int, int] = {}
    for row in rows:
        if row.kind == "withdrawal" or row.key in withdrawn or (since is not None and row.happened_at <= since):
            continue
        counted = int(json.loads(row.document)["pieces"]) if row.kind == "count" else 0
        pieces[row.order_id] = pieces.get(row.order_id, 0) + counted
    found = []
    for order_id, count in pieces.items():
        there = _plan_names(tx, order_id, machine, kind)
        if there is not False:
            order = orders.get(tx, order_id)
            found.append(TouchedOrder(id=order_id, name=order.name, pieces=count, sure=there is True))
    return tuple(found)


def _plan_names(tx: Transaction, order_id: int, machine: str, kind: CheckKind) -> bool | None:
    """Whether the plan that an order was printed by uses a machine; None when no plan says."""
    order = orders.get(tx, order_id)
    known = [one for one in plans.of_order(tx, order_id) if one.complete]
    chosen = next((one for one in known if one.number == order.approved_plan), known[-1] if known else None)
    if chosen is None:
        return None
    prints = json.loads(plans.text(tx, chosen)).get("prints", [])
    settings = [one.get("settings") or {} for one in prints if isinstance(one, dict)]
    if not settings:
        return None
    if kind is not CheckKind.FLASH:
        return any((one.get("dryer") or {}).get("dryer") == machine for one in settings)
    presses = {item.name: item.document for item in shelves.shelf(tx, "presses")}
    return any(machine in probe_machines.flash_names(presses.get(str(one.get("press")), {})) for one in settings)

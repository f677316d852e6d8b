"""What happened at the demo shop's dryer before today: two weeks of invented checks and a probe log."""

from __future__ import annotations

import datetime as dt
from importlib.resources import files as package_files

from laydown.domain.probe_check import CheckKind, ProbeCheck
from laydown.domain.probe_log import ProbeConditions
from laydown.domain.shop import Shop
from laydown.services import dryer_book, dryer_watch
from laydown.store.database import Store
from laydown.units import from_celsius, from_micron

LOG = "probe_log_example.csv"

PEAKS = (163.0, 164.5, 162.5, 163.5, 164.0, 162.0, 163.5, 163.0, 164.5, 163.0, 158.5, 163.5, 162.5, 164.0)
"""Peaks under the print, a day each [°C]; the eleventh is out of control. Invented."""

REMARKS = {0: "Invented, as everything in this shop.", 10: "Found the exhaust wide open; closed it and ran on."}

FILM_UM = 100.0


def add_history(store: Store, shop: Shop, *, who: str, now: dt.datetime | None = None) -> None:
    """Enter the invented checks and keep the invented log, of the demo shop's first dryer."""
    dryer, moment = shop.dryers[0], now or dt.datetime.now(tz=dt.UTC)
    for place, peak in enumerate(PEAKS):
        check = ProbeCheck(
            machine=dryer.name,
            kind=CheckKind.PEAK,
            value=from_celsius(peak),
            happened_at=(moment - dt.timedelta(days=len(PEAKS) - place)).replace(second=0, microsecond=0),
            note=REMARKS.get(place, ""),
        )
        dryer_watch.enter(store, check, key=f"demo-check-{place:02d}", who=who)
    conditions = ProbeConditions(
        dryer=dryer.name,
        garment=shop.garments[0].name,
        date=(moment - dt.timedelta(days=len(PEAKS))).date(),
        setting=dryer.setting,
        speed=dryer.length / 60,
        film=from_micron(FILM_UM),
        note="Invented: nobody ran a probe through this dryer.",
    )
    content = (package_files("laydown.data") / LOG).read_bytes()
    dryer_book.keep(store, content, LOG, conditions, key="demo-probe-log", who=who)

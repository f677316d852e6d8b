"""Claims with a correction and one that was taken back."""

import datetime as dt

from laydown.domain.outcome import Claim
from laydown.store import claims

DAY = dt.date(2026, 12, 20)


def claim(order, **changes):
    fields = {"order": order, "cause": "dye came through", "pieces": 12, "received_on": DAY, "text": "pink, µ"}
    return Claim(**(fields | changes))


def fill_claims(store, order):
    with store.write(who="Ünal") as tx:
        wrong, _ = claims.add(tx, claim(order), key="claim-0001")
        claims.add(tx, claim(order, pieces=21), key="claim-0002", replaces=wrong.claim.number)
        odd, _ = claims.add(tx, claim(order, cause="cracked", pieces=1), key="claim-0003")
        claims.add(tx, odd.claim, key="claim-0004", replaces=odd.claim.number, aside=True)


def kept_claims(tx):
    (kept,) = claims.standing(tx)
    return (kept.claim.pieces, kept.claim.received_on, kept.claim.text, kept.made_by) == (21, DAY, "pink, µ", "Ünal")

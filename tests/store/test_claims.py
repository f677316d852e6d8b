"""Claims of customers are kept for good, on both databases."""

import pytest
from claim_records import claim, fill_claims, kept_claims
from order_texts_of_store import ORDER

from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import change_log, claims, orders


@pytest.fixture
def order(store):
    with store.write(who="ben") as tx:
        return orders.add(tx, ORDER).id


def test_a_correction_takes_the_place_of_a_claim_and_a_withdrawal_leaves_none(store, order):
    fill_claims(store, order)

    with store.read() as tx:
        assert kept_claims(tx)
        assert claims.standing(tx, order=order) == claims.standing(tx)
        assert claims.standing(tx, order=order + 1) == ()
        assert claims.get(tx, 1).claim.pieces == 12
        logged = [line for line in change_log.lines(tx) if line.kind == "claim"]
        assert {line.who for line in logged} == {"Ünal"}
        assert len(logged) == 4


def test_a_claim_that_is_sent_twice_is_kept_once_and_another_under_its_key_is_refused(store, order):
    with store.write(who="ben") as tx:
        first, new = claims.add(tx, claim(order), key="claim-9999")
        again, anew = claims.add(tx, claim(order), key="claim-9999")

        assert (new, anew, again) == (True, False, first)
        with pytest.raises(Conflict, match="another claim has this key"):
            claims.add(tx, claim(order, pieces=3), key="claim-9999")


def test_what_cannot_be_kept_is_refused_with_its_reason(store, order):
    with store.write(who="ben") as tx:
        other = orders.add(tx, ORDER).id
        kept, _ = claims.add(tx, claim(order), key="claim-9990")
        number = kept.claim.number

        with pytest.raises(InvalidInput, match="too few characters"):
            claims.add(tx, claim(order), key="short")
        with pytest.raises(NotFound):
            claims.add(tx, claim(order + 99), key="claim-9991")
        with pytest.raises(NotFound):
            claims.add(tx, claim(order), key="claim-9992", replaces=number + 99)
        with pytest.raises(InvalidInput, match=f"is of order {order}, not of order {other}"):
            claims.add(tx, claim(other), key="claim-9993", replaces=number)
        with pytest.raises(InvalidInput, match="say which claim is taken back"):
            claims.add(tx, claim(order), key="claim-9994", aside=True)
        claims.add(tx, kept.claim, key="claim-9995", replaces=number, aside=True)
        with pytest.raises(Conflict, match="was corrected by ben already"):
            claims.add(tx, claim(order, pieces=2), key="claim-9996", replaces=number)
        assert claims.standing(tx) == ()

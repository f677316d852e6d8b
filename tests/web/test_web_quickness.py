"""What makes pages quick: files packed and kept, answers made once, plans looked at ahead."""

import gzip
import threading

import pytest
from order_steps import COTTON, keep_plan
from web_clients import store_of

from laydown.errors import InvalidInput
from laydown.services import order_book_today
from laydown.web import desk as desks
from laydown.web.ahead import look_ahead
from laydown.web.desk import Desk


def test_style_sheets_are_packed_for_whoever_can_unpack_them_and_kept_by_their_tag(client):
    at = client.app.state.laydown.assets.address("css/look.css")
    packed = client.get(at, headers={"accept-encoding": "gzip"})
    plain = client.get(at, headers={"accept-encoding": "identity"})

    assert packed.headers["content-encoding"] == "gzip"
    assert "content-encoding" not in plain.headers
    assert packed.content == plain.content
    assert len(gzip.compress(plain.content)) < len(plain.content)
    assert packed.headers["etag"] != plain.headers["etag"]
    again = client.get(at, headers={"accept-encoding": "gzip", "if-none-match": packed.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_pages_are_not_packed_as_tokens_stand_beside_what_was_typed(client):
    assert "content-encoding" not in client.get("/orders?q=tees", headers={"accept-encoding": "gzip"}).headers


def test_an_answer_is_made_once_also_when_several_ask_while_it_is_made():
    desk, begun, go_on, made = Desk(own_process=False), threading.Event(), threading.Event(), []

    def work(number):
        made.append(number)
        begun.set()
        assert go_on.wait(10)
        return number + 1

    found = []
    threads = [threading.Thread(target=lambda: found.append(desk.ask_once((1,), work, lambda: (6,)))) for _ in range(4)]
    threads[0].start()
    assert begun.wait(10)
    for thread in threads[1:]:
        thread.start()
    go_on.set()
    for thread in threads:
        thread.join(10)

    assert found == [7] * 4
    assert made == [6]
    assert desk.ask_once((1,), work, lambda: (6,)) == 7


def test_a_failure_is_told_to_whoever_asked_and_not_remembered():
    desk, answers = Desk(own_process=False), [InvalidInput("no"), 5]

    def work():
        answer = answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer

    with pytest.raises(InvalidInput, match="no"):
        desk.ask_once((1,), work, tuple)
    assert desk.ask_once((1,), work, tuple) == 5


def test_no_more_is_remembered_than_fits(monkeypatch):
    desk = Desk(own_process=False)
    monkeypatch.setattr(desks, "KEPT_BYTES", 2)
    for number in (1, 2, 3):
        desk.ask_once((number,), int, lambda number=number: (number,))

    assert [desk.ask_once((number,), int, lambda: (9,)) for number in (3, 2, 1)] == [3, 2, 9]


@pytest.mark.slow
def test_plans_of_open_orders_are_looked_at_before_somebody_opens_one(client, monkeypatch):
    order, number = keep_plan(client, COTTON)
    state = client.app.state.laydown
    assert [plan.order_id for plan in order_book_today.plans_in_use(store_of(client), limit=5)] == [order]
    assert look_ahead(state, over=lambda: True) == 0
    assert look_ahead(state, over=lambda: False) == 1

    def nobody(*_):
        raise AssertionError

    monkeypatch.setattr(state.drawing, "_asked", nobody)
    assert client.get(f"/orders/{order}/plans/{number}").status_code == 200

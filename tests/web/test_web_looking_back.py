"""Looking back through all doors: what the press and the office entered is what is told, and who entered it is kept."""

import datetime as dt
import json
import uuid

import pytest
from order_steps import keep_plan
from web_clients import log_in, post, store_of, token_in

from laydown.cli.main import main
from laydown.domain.outcome import Requirement
from laydown.services import looking_back
from laydown.services.press_book import add as enter_at_press
from laydown.store import change_log, plans

ADDRESS = "/lab/looking-back"
PRINTED = dt.datetime(2026, 3, 2, 12, tzinfo=dt.UTC)
TODAY = dt.date(2026, 9, 1)


@pytest.fixture
def printed(client):
    """Order with a plan of which 90 good and 6 smeared pieces were printed, and 4 entered by mistake."""
    order, _ = keep_plan(client)
    store = store_of(client)
    for key, kind, document in (
        ("good-0001", "count", {"pieces": 90}),
        ("bad-00001", "misprint", {"pieces": 6, "cause": "smeared"}),
        ("bad-00002", "misprint", {"pieces": 4, "cause": "scorched"}),
        ("back-0001", "withdrawal", {"key": "bad-00002"}),
    ):
        enter_at_press(store, order, key=key, kind=kind, document=document, happened_at=PRINTED, who="Pit")
    return order


def claim(client, number, **changes):
    fields = {"order": number, "cause": "dye came through", "pieces": "12", "received_on": "2026-04-09", "text": "pink"}
    return post(client, f"{ADDRESS}/claims", ADDRESS, key=uuid.uuid4().hex, **(fields | changes))


def test_without_orders_the_page_offers_an_example_that_says_it_is_invented(client):
    page = client.get(ADDRESS).text
    assert "Nothing printed was entered at the press" in page
    assert "No claim was entered yet." in page

    example = client.get(f"{ADDRESS}?example=yes").text
    assert "These orders are invented" in example
    assert "Do forecast risks come true?" in example
    assert "stands out" in example
    assert example.count("<svg") >= 3
    assert "Keep the claim" not in example


def test_what_was_printed_spoiled_and_claimed_is_told_and_taken_back_entries_are_not(client, printed):
    assert claim(client, printed).status_code == 303

    page = client.get(ADDRESS).text
    assert "1 order, 96 pieces over the press." in page
    for words in ("smeared", "dye came through", "pink", "9 Apr 2026"):
        assert words in page
    # Only the form offers what was taken back.
    assert page.count("scorched") == 1
    told = client.get("/api/looking-back").json()
    assert {g["name"]: (g["spoiled"], g["claimed"]) for g in told["causes"]} == {
        "smeared": (6, 0),
        "dye came through": (0, 12),
    }
    (lot,) = told["groups"]["lot"]
    assert (lot["orders"], lot["share"], lot["others"], lot["stands_out"]) == (1, pytest.approx(18 / 96), None, False)


def test_risks_cloth_inks_and_dryer_are_those_of_the_plan_that_was_printed(client, printed):
    found = looking_back.look_back(store_of(client), today=TODAY)

    (outcome,) = found.outcomes
    with store_of(client).read() as tx:
        document = json.loads(plans.text(tx, plans.of_order(tx, printed)[-1]))
    prints = document["prints"]
    assert outcome.cloth == document["order"]["garment"]["name"]
    assert set(outcome.inks) == {p["ink"] for one in prints for p in one["choice"]["passes"] if p["ink"]}
    assert outcome.dryer == prints[0]["settings"]["dryer"]["dryer"]
    assert outcome.risk(Requirement.OPACITY) == pytest.approx(prints[0]["forecast"]["opacity"]["risk"])
    assert outcome.risk(Requirement.ALL) == pytest.approx(prints[0]["forecast"]["fail_risk"])
    assert outcome.printed_on == PRINTED.astimezone().date()


@pytest.mark.usefixtures("printed")
def test_an_order_from_before_the_span_is_left_out(client):
    store = store_of(client)

    assert looking_back.look_back(store, today=TODAY, since=dt.date(2026, 3, 10)).outcomes == ()
    assert len(looking_back.look_back(store, today=TODAY, since=dt.date(2026, 2, 10)).outcomes) == 1
    assert client.get(f"{ADDRESS}?span=365").status_code == 200
    assert client.get(f"{ADDRESS}?span=7").status_code == 200


def test_a_claim_taken_back_is_gone_from_the_page_and_stays_in_the_log(client, printed):
    claim(client, printed)
    (kept,) = looking_back.claims_of(store_of(client), printed)

    done = post(client, f"{ADDRESS}/claims/{kept.claim.number}/back", ADDRESS, key=uuid.uuid4().hex)

    assert done.status_code == 303
    assert looking_back.claims_of(store_of(client), printed) == ()
    with store_of(client).read() as tx:
        lines = [line for line in change_log.lines(tx) if line.kind == "claim"]
    assert len(lines) == 2


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"pieces": "many"}, "a whole number of pieces is needed"),
        ({"pieces": "999999"}, "claim at most those"),
        ({"pieces": "0"}, "claimed pieces"),
        ({"received_on": "soon"}, "a day as 2026-12-10 is needed"),
        ({"received_on": "2099-01-01"}, "lies in the future"),
        ({"cause": "bad luck"}, "is no cause of a claim"),
        ({"order": "4711"}, "4711"),
    ],
)
def test_a_claim_that_cannot_be_kept_is_refused_with_a_sentence_and_nothing_typed_is_lost(
    client, printed, changes, words
):
    answer = claim(client, printed, **changes)

    assert answer.status_code == 422
    assert words in answer.text
    assert "pink" in answer.text
    assert looking_back.claims_of(store_of(client), printed) == ()


def test_a_claim_is_corrected_on_the_page_and_only_the_newest_word_counts(client, printed):
    claim(client, printed)
    (kept,) = looking_back.claims_of(store_of(client), printed)
    number = kept.claim.number
    form = client.get(f"{ADDRESS}?correct={number}").text
    assert f"Correct claim {number}" in form
    assert 'value="12"' in form
    assert 'value="2026-04-09"' in form

    wrong = claim(client, printed, replaces=str(number), pieces="many", text="pinkish")
    assert wrong.status_code == 422
    assert f"Correct claim {number}" in wrong.text
    done = claim(client, printed, replaces=str(number), pieces="8", cause="cracked", text="fell off")

    assert done.status_code == 303
    (right,) = looking_back.claims_of(store_of(client), printed)
    assert (right.claim.pieces, right.claim.cause, right.claim.text, right.replaces) == (
        8,
        "cracked",
        "fell off",
        number,
    )
    assert "pink" not in client.get(ADDRESS).text
    # The old one holds no longer, so nobody corrects it twice.
    assert client.get(f"{ADDRESS}?correct={number}").status_code == 404
    assert claim(client, printed, replaces=str(number)).status_code == 409
    assert claim(client, printed, replaces="4711").status_code == 422


def test_a_claim_is_kept_corrected_and_taken_back_by_command(client, printed, tmp_path, capsys):
    def call(*arguments):
        status = main(["claim", *arguments, "--database", str(tmp_path / "laydown.sqlite")])
        out, err = capsys.readouterr()
        return status, out, err

    assert call("list") == (0, "no claim was entered yet\n", "")
    kept = call(
        "keep", str(printed), "--cause", "cracked", "--pieces", "3", "--received", "2026-05-01", "--text", "old"
    )
    assert kept == (0, f"claim 1, order {printed}, 2026-05-01: cracked, 3 pieces: old\n", "")
    told = f"claim 2, order {printed}, 2026-05-01: cracked, 1 piece: old"
    assert call("correct", "1", "--pieces", "1") == (0, f"{told}; takes the place of claim 1\n", "")
    assert call("list") == (0, f"{told}\n", "")
    status, _, err = call("correct", "1", "--pieces", "2")
    assert (status, err.count("\n")) == (2, 1)
    assert "say what is to be corrected" in call("correct", "2")[2]
    assert "is no cause of a claim" in call("correct", "2", "--cause", "bad luck")[2]
    assert call("back", "2") == (0, "claim 2 is taken back\n", "")
    assert call("list")[1] == "no claim was entered yet\n"
    assert looking_back.claims_of(store_of(client), printed) == ()


def test_only_who_takes_orders_in_enters_claims_and_the_claim_says_who(network_client):
    log_in(network_client, "Olga")
    order, _ = keep_plan(network_client)
    assert claim(network_client, order).status_code == 303
    assert "Olga, " in network_client.get(ADDRESS).text
    network_client.cookies.clear()
    log_in(network_client, "Pit")

    page = network_client.get(ADDRESS).text
    assert "Keep the claim" not in page
    assert "Take back" not in page


def test_the_interface_for_programs_keeps_a_claim_once_and_corrects_it(client, printed):
    origin = {"origin": str(client.base_url).rstrip("/"), "x-csrf-token": token_in(client.get(ADDRESS))}
    body = {"key": "till-0001", "order": printed, "cause": "cracked", "pieces": 3, "received_on": "2026-05-01"}

    first = client.post("/api/claims", json=body, headers=origin)
    again = client.post("/api/claims", json=body, headers=origin)
    other = client.post("/api/claims", json=body | {"pieces": 4}, headers=origin)
    number = first.json()["number"]
    right = client.post(
        "/api/claims", json=body | {"key": "till-0002", "pieces": 5, "replaces": number}, headers=origin
    )

    assert [one.status_code for one in (first, again, other, right)] == [201, 200, 409, 201]
    assert [one["pieces"] for one in client.get(f"/api/orders/{printed}/claims").json()] == [5]
    assert client.get("/api/looking-back?example=true").json()["invented"] is True
    assert client.get("/api/orders/99999/claims").status_code == 404


def test_the_command_tells_the_same_as_the_page(client, printed, tmp_path, capsys):
    claim(client, printed)

    assert main(["lookback", "--database", str(tmp_path / "laydown.sqlite")]) == 0
    told = capsys.readouterr().out
    assert "1 order, 96 pieces over the press" in told
    assert "smeared: 6 spoiled, 0 claimed of 96" in told
    assert main(["lookback", "--database", str(tmp_path / "laydown.sqlite"), "--since", "2099-01-01"]) == 0
    assert "nothing printed was entered" in capsys.readouterr().out
    assert main(["lookback", "--example"]) == 0
    assert capsys.readouterr().out.startswith("Invented orders, as an example.")

"""People, their logins and their tokens."""

import datetime as dt

import pytest
from sqlalchemy import select, text

from laydown.errors import Conflict, InvalidInput, NotFound
from laydown.store import api_tokens, change_log, sessions, users
from laydown.store.passwords import hash_password, is_outdated, password_fits
from laydown.store.schema import metadata

HOUR = dt.timedelta(hours=1)
WEAK = "$argon2id$v=19$m=8,t=1,p=1$MTIzNDU2Nzg5MA$6q3pJ7yqXw5f0bnYHZ2yxA"


@pytest.fixture
def ann(store):
    with store.write(who="set-up") as tx:
        return users.add(tx, "Ann", "owner", password_hash=WEAK)


def test_a_password_is_told_from_every_other_and_kept_as_a_hash():
    made = hash_password("correct horse battery")

    assert "correct" not in made
    assert made.startswith("$argon2id$")
    assert password_fits(made, "correct horse battery")
    assert not password_fits(made, "correct horse batterx")
    assert not password_fits(made, "\ud800")
    assert not password_fits(None, "correct horse battery")
    assert not password_fits("no hash", "correct horse battery")
    assert not is_outdated(made)
    assert is_outdated(WEAK)


@pytest.mark.parametrize("password", ["", "too short", "x" * 1001])
def test_a_password_that_is_none_is_refused(password):
    with pytest.raises(InvalidInput, match="10 to 1000"):
        hash_password(password)


def test_a_person_is_found_whatever_the_capitals(store, ann):
    with store.read() as tx:
        assert users.find(tx, "ANN ") == ann
        assert users.find(tx, "\x00") is None
        assert users.find(tx, "\ud800") is None
        assert users.password_hash_of(tx, "ann") == WEAK
        assert users.password_hash_of(tx, "nobody") is None
        assert ann.has_password
    with pytest.raises(Conflict, match="already") as told, store.write(who="Ann") as tx:
        users.add(tx, "aNN", "press")
    assert told.value.present == ann


@pytest.mark.parametrize(
    ("name", "role"),
    [
        ("", "press"),
        ("x\x00", "press"),
        ("x\n", "boss"),
        ("x" * 81, "press"),
        ("\ufdfa" * 80, "press"),
        ("a\nb", "press"),
    ],
)
def test_somebody_who_cannot_be_is_refused(store, name, role):
    with pytest.raises(InvalidInput), store.write(who="Ann") as tx:
        users.add(tx, name, role)


def test_there_is_always_an_owner(store, ann):
    with store.write(who="Ann") as tx:
        for change in ({"role": "lead"}, {"active": False}):
            with pytest.raises(InvalidInput, match="only owner"):
                users.change(tx, ann.id, revision=ann.revision, **change)
        ben = users.add(tx, "Ben", "owner")
        assert users.change(tx, ann.id, revision=ann.revision, role="lead").role == "lead"
        assert [one.name for one in users.everyone(tx)] == ["Ann", "Ben"]
        with pytest.raises(InvalidInput, match="only owner"):
            users.change(tx, ben.id, revision=ben.revision, role="viewer")


def test_the_later_of_two_changes_of_a_person_is_told(store, ann):
    with store.write(who="Ann") as tx:
        changed = users.change(tx, ann.id, revision=ann.revision, preferences={"length": "inch"})
        assert users.change(tx, ann.id, revision=changed.revision, preferences={"length": "inch"}) == changed
        with pytest.raises(Conflict) as told:
            users.change(tx, ann.id, revision=ann.revision, preferences={"length": "mm"})
    assert told.value.present.preferences == {"length": "inch"}


def test_a_login_is_found_by_its_secret_until_it_ends(store, ann):
    with store.write(who="Ann") as tx:
        session, secret = sessions.start(tx, ann.id, lifetime=HOUR, device="browser\x00")
        _, other = sessions.start(tx, ann.id, lifetime=HOUR)
        assert sessions.find(tx, secret) == session
        assert (session.user, session.device) == (ann, "browser ")
        assert sessions.find(tx, "wrong") is None
        assert len(sessions.of_user(tx, ann.id)) == 2
        sessions.end(tx, secret)
        sessions.end(tx, secret)
        assert sessions.find(tx, secret) is None
        assert sessions.find(tx, other) is not None
        assert sessions.end_all(tx, ann.id) == 1
        assert sessions.find(tx, other) is None


def test_a_login_runs_out(store, ann):
    with store.write(who="Ann") as tx:
        _, secret = sessions.start(tx, ann.id, lifetime=dt.timedelta(microseconds=1))
    with store.write(who="Ann") as tx:
        assert sessions.find(tx, secret) is None
        assert sessions.sweep(tx) == 1


def test_another_password_and_leaving_end_every_login(store, ann):
    with store.write(who="Ann") as tx:
        users.add(tx, "Ben", "owner")
        _, first = sessions.start(tx, ann.id, lifetime=HOUR)
        users.set_password(tx, ann.id, hash_password("another password"))
        assert sessions.find(tx, first) is None
        _, second = sessions.start(tx, ann.id, lifetime=HOUR)
        _, token = api_tokens.add(tx, ann.id, "till", role="press")
        users.change(tx, ann.id, revision=users.get(tx, ann.id).revision, active=False)
        assert sessions.find(tx, second) is None
        assert api_tokens.find(tx, token) is None
        assert users.password_hash_of(tx, "Ann") is None


def test_a_token_may_never_do_more_than_its_person(store, ann):
    with store.write(who="Ann") as tx:
        users.add(tx, "Ben", "owner")
        token, secret = api_tokens.add(tx, ann.id, "till", role="lead", lifetime=HOUR)
        assert api_tokens.find(tx, secret) == token
        assert api_tokens.of_user(tx, ann.id) == (token,)
        users.change(tx, ann.id, revision=ann.revision, role="press")
        assert api_tokens.find(tx, secret).role == "press"
        with pytest.raises(InvalidInput, match="viewer, press"):
            api_tokens.add(tx, ann.id, "more", role="lead")
        api_tokens.revoke(tx, token.id)
        assert api_tokens.find(tx, secret) is None
        with pytest.raises(NotFound):
            api_tokens.revoke(tx, token.id)


def test_a_token_runs_out(store, ann):
    with store.write(who="Ann") as tx:
        _, secret = api_tokens.add(tx, ann.id, "short", role="press", lifetime=-HOUR)
        assert api_tokens.find(tx, secret) is None


def test_no_secret_is_kept_anywhere_in_the_database(store, ann):
    with store.write(who="Ann") as tx:
        session, cookie = sessions.start(tx, ann.id, lifetime=HOUR)
        _, token = api_tokens.add(tx, ann.id, "till", role="press")
    with store.read() as tx:
        everything = repr([tx.run(select(table)).all() for table in metadata.sorted_tables])
        assert tx.connection.execute(text("SELECT count(*) FROM sessions")).scalar() == 1

    assert session.csrf in everything
    assert cookie not in everything
    assert token not in everything


def test_logins_and_changes_of_people_are_in_the_log_without_hashes(store, ann):
    with store.write(who="Ann") as tx:
        sessions.start(tx, ann.id, lifetime=HOUR)
        users.set_password(tx, ann.id, hash_password("another password"))
        lines = change_log.lines(tx, kind="user", key="Ann")

    assert [line.action for line in lines] == ["password", "log in", "add"]
    assert "argon2" not in repr(lines)

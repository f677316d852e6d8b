"""Every route refuses the roles that it should, and takes the others."""

from __future__ import annotations

import datetime as dt
import re

import pytest
from web_clients import store_of

from laydown.store import sessions, users
from laydown.web.api import API_ROUTERS
from laydown.web.needs import NEEDS, ROLES, allows, need_of, needs
from laydown.web.pages import PAGE_ROUTERS
from laydown.web.routing import page_router

ORIGIN = "http://192.0.2.7:8300"
PEOPLE = {"viewer": "Vera", "press": "Pit", "lead": "Lea", "owner": "Olga"}
ROUTES = tuple(
    (method, route.path, need_of(route.endpoint))
    for router in (*PAGE_ROUTERS, *API_ROUTERS)
    for route in router.routes
    for method in sorted(route.methods)
)
CHANGES_WITHOUT_A_ROLE = {
    # In and out, the own look, the own account, and the own calendar.
    *("/login", "/setup", "/logout", "/look", "/account/preferences", "/account/password", "/account/tokens"),
    *("/account/tokens/{token_id}/revoke", "/api/me/preferences", "/api/me/tokens/{token_id}", "/lab/calendar"),
    # Asked with a body, but nothing is kept.
    *("/api/care-label", "/orders/{order_id}/plans/{number}/what-if", "/api/orders/{order_id}/plans/{number}/what-if"),
}


def sent(client, method, path, session):
    """Send a request with a login, as one of our pages would."""
    client.cookies.clear()
    headers = {"origin": ORIGIN}
    if session is not None:
        login, secret = session
        client.cookies.set("laydown_login", secret)
        headers["x-csrf-token"] = login.csrf
    address = re.sub(r"\{kind[^}]*\}", "inks", path)
    address = re.sub(r"\{[^}]*\}", "7", address)
    return client.request(method, address, headers=headers)


def logged_in(client, role):
    """Login of somebody with a role."""
    with store_of(client).write(who="tests") as tx:
        user = users.find(tx, PEOPLE[role])
        return sessions.start(tx, user.id, lifetime=dt.timedelta(hours=1))


def refused(answer) -> bool:
    """Whether a door turned somebody away."""
    to_login = answer.status_code == 303 and answer.headers["location"].startswith("/login?next=")
    return answer.status_code in {401, 403} or to_login


def test_every_route_refuses_whoever_may_not_and_takes_whoever_may(network_client):
    wrong = []
    for method, path, need in ROUTES:
        if refused(sent(network_client, method, path, None)) != (need.role != "") and method == "GET":
            wrong.append((method, path, "nobody"))
    for role in ROLES:
        session = logged_in(network_client, role)
        for method, path, need in ROUTES:
            answer = sent(network_client, method, path, session)
            if refused(answer) == allows(role, need):
                wrong.append((method, path, role, need.name, answer.status_code))
            if answer.status_code >= 500:
                wrong.append((method, path, role, answer.status_code))
            if path in {"/logout", "/people/{user_id}/logout"} and not refused(answer):
                session = logged_in(network_client, role)
    assert not wrong


def test_nobody_changes_anything_without_a_login(network_client):
    for method, path, need in ROUTES:
        if method not in {"GET", "HEAD"} and need.role:
            assert refused(sent(network_client, method, path, None)), path


def test_every_change_needs_more_than_looking_but_for_a_known_few():
    for method, path, need in ROUTES:
        if method not in {"GET", "HEAD"} and path not in CHANGES_WITHOUT_A_ROLE:
            assert not allows("viewer", need), path


@pytest.mark.parametrize(
    ("path", "role"),
    [
        ("/people", "owner"),
        ("/api/people/{user_id}/password", "owner"),
        ("/shop/exchange", "owner"),
        ("/api/shop/archive", "owner"),
        ("/log", "lead"),
        ("/shelves/{kind}/edit", "lead"),
        ("/api/settings/{kind}", "lead"),
        ("/orders/new", "lead"),
    ],
)
def test_what_must_not_be_open_to_everybody_is_not(path, role):
    found = [need for method, known, need in ROUTES if known == path and (method != "GET" or "settings" not in path)]
    assert found
    assert {need.role for need in found} == {role}


def test_looking_changes_nothing():
    assert {method for method, _, need in ROUTES if need.name == "read"} <= {"GET", "POST"}
    posts = {path for method, path, need in ROUTES if need.name == "read" and method == "POST"}
    assert posts <= CHANGES_WITHOUT_A_ROLE


def test_each_role_may_what_the_one_before_it_may():
    for need in NEEDS:
        told = [allows(role, need) for role in ROLES]
        assert told == sorted(told)
        assert allows(None, need) == (need.role == "")


def test_a_route_that_says_nothing_of_who_may_cannot_be_made():
    router = page_router()
    with pytest.raises(TypeError, match="says nothing of who may"):
        router.get("/x")(lambda: None)
    with pytest.raises(KeyError):
        needs("something unknown")

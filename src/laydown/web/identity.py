"""Who a request is from."""

from __future__ import annotations

import hashlib
import hmac
from dataclasses import dataclass

from starlette.requests import Request

from laydown.services import accounts
from laydown.web.needs import Need, allows
from laydown.web.state import AppState, state_of

COOKIE = "laydown_login"
SECURE_COOKIE = "__Host-laydown_login"
"""With https; a browser takes it from this host only and never sends it unencrypted."""

MACHINE = "owner at this machine"


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """Somebody who asks.

    Attributes
    ----------
    name : str
        As the log names them.
    role : str or None
        None: nobody is logged in.
    door : str
        ``machine`` (no login needed), ``login``, ``token`` or ``nobody``.
    csrf : str
        What forms send back; empty with a token, which no browser sends by itself.
    """

    name: str
    role: str | None
    door: str
    csrf: str = ""
    user: accounts.User | None = None

    def may(self, need: Need) -> bool:
        """Whether they are allowed to."""
        return allows(self.role, need)


def cookie_name(state: AppState) -> str:
    """Name of the login's cookie."""
    return SECURE_COOKIE if state.settings.https else COOKIE


def identify(request: Request) -> Identity:
    """Find out who a request is from; reads the store unless no login is needed."""
    state = state_of(request)
    kind, _, token = request.headers.get("authorization", "").partition(" ")
    if kind.lower() == "bearer":
        found = accounts.find_token(state.store, token.strip())
        if found is not None:
            return Identity(name=found.user.name, role=found.role, door="token", user=found.user)
        return Identity(name="nobody", role=None, door="token")
    if not state.settings.needs_login:
        return Identity(name=MACHINE, role="owner", door="machine", csrf=_derived(state, "machine"))
    secret = request.cookies.get(cookie_name(state), "")
    session = accounts.find_session(state.store, secret) if secret else None
    if session is None:
        return Identity(name="nobody", role=None, door="nobody", csrf=_derived(state, "nobody"))
    return Identity(name=session.user.name, role=session.user.role, door="login", csrf=session.csrf, user=session.user)


def identity_of(request: Request) -> Identity:
    """Who the request is from; found out once, at the door."""
    found: Identity = request.state.identity
    return found


def _derived(state: AppState, door: str) -> str:
    return hmac.new(state.secret, door.encode(), hashlib.sha256).hexdigest()

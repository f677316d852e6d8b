"""People, the own account, and tokens."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from fastapi import Body, Path
from pydantic import BaseModel, ConfigDict, Field
from starlette.responses import Response

from laydown.services import accounts, people
from laydown.web.needs import needs
from laydown.web.refusal import Refusal
from laydown.web.routing import State, Who, api_router, problems_of

router = api_router("people")

Role = Literal["viewer", "press", "lead", "owner"]
Number = Annotated[int, Path(ge=0, lt=2**31)]


class Person(BaseModel):
    """Somebody who was let in."""

    id: int
    name: str
    role: Role
    has_password: bool
    active: bool
    revision: int = Field(description="Names this state; a change says which one it started from.")


class NewPerson(BaseModel):
    """Somebody to let in."""

    model_config = ConfigDict(extra="forbid")

    name: str = Field(min_length=1, max_length=80)
    role: Role
    password: str = Field(default="", max_length=1000, description="Left out: cannot log in yet.")


class PersonChange(BaseModel):
    """What is to be changed; what is left out stays."""

    model_config = ConfigDict(extra="forbid")

    revision: int = Field(ge=0, lt=2**62)
    role: Role | None = None
    active: bool | None = None


class Password(BaseModel):
    """A new password."""

    model_config = ConfigDict(extra="forbid")

    password: str = Field(min_length=10, max_length=1000)


class Me(BaseModel):
    """Who asks."""

    name: str
    role: Role
    door: Literal["machine", "login", "token"]
    preferences: dict[str, str]


class Token(BaseModel):
    """A token; its text is told only once."""

    id: int
    name: str
    role: Role
    expires_at: dt.datetime | None
    revoked_at: dt.datetime | None


@router.get("/people", response_model=list[Person], responses=problems_of())
@needs("people")
def everyone(state: State) -> list[Person]:
    """List everybody who was let in, those who left as well."""
    return [_person(one) for one in people.everyone(state.store)]


@router.post("/people", status_code=201, response_model=Person, responses=problems_of(400, 409, 413))
@needs("people")
def take_in(state: State, who: Who, wanted: Annotated[NewPerson, Body()]) -> Person:
    """Let somebody in."""
    return _person(people.take_in(state.store, wanted.name, wanted.role, password=wanted.password, who=who.name))


@router.get("/people/{user_id}", response_model=Person, responses=problems_of(404))
@needs("people")
def person(state: State, user_id: Number) -> Person:
    """Read somebody's entry."""
    return _person(people.person(state.store, user_id))


@router.put("/people/{user_id}", response_model=Person, responses=problems_of(400, 404, 409, 413))
@needs("people")
def change(state: State, who: Who, user_id: Number, wanted: Annotated[PersonChange, Body()]) -> Person:
    """Change what somebody may do, or whether they work here."""
    return _person(
        people.change(
            state.store, user_id, revision=wanted.revision, who=who.name, role=wanted.role, active=wanted.active
        )
    )


@router.put("/people/{user_id}/password", status_code=204, responses=problems_of(400, 404, 413))
@needs("people")
def give_password(state: State, who: Who, user_id: Number, wanted: Annotated[Password, Body()]) -> Response:
    """Give somebody another password, and log them out everywhere."""
    with state.password_checks:
        people.give_password(state.store, user_id, wanted.password, who=who.name)
    return Response(status_code=204)


@router.delete("/people/{user_id}/logins", status_code=204, responses=problems_of(404))
@needs("people")
def log_out(state: State, who: Who, user_id: Number) -> Response:
    """Log somebody out everywhere."""
    people.log_out_everywhere(state.store, user_id, who=who.name)
    return Response(status_code=204)


@router.get("/me", response_model=Me, responses=problems_of())
@needs("own account")
def me(who: Who) -> Any:
    """Say who asks."""
    preferences = {name: str(value) for name, value in who.user.preferences.items()} if who.user is not None else {}
    return {"name": who.name, "role": who.role, "door": who.door, "preferences": preferences}


@router.put("/me/preferences", response_model=dict[str, str], responses=problems_of(400, 409, 413))
@needs("own account")
def prefer(state: State, who: Who, wanted: Annotated[dict[str, str], Body()]) -> Any:
    """Keep how the person likes to read numbers; an empty text means: as the shop."""
    if who.user is None:
        raise Refusal(403, "without a login there is nobody whose preferences these could be")
    return people.like(state.store, who.user, wanted).preferences


@router.get("/me/tokens", response_model=list[Token], responses=problems_of())
@needs("own account")
def tokens(state: State, who: Who) -> list[Token]:
    """List the own tokens; they are made on the account page, as their text is shown once."""
    found = people.tokens_of(state.store, who.user) if who.user is not None else ()
    return [Token(**{name: getattr(one, name) for name in Token.model_fields}) for one in found]


@router.delete("/me/tokens/{token_id}", status_code=204, responses=problems_of(404))
@needs("own account")
def revoke(state: State, who: Who, token_id: Number) -> Response:
    """Make one of the own tokens useless."""
    if who.user is None:
        raise Refusal(404, "there is no such token")
    people.revoke_token(state.store, token_id, who=who.name, user=who.user)
    return Response(status_code=204)


def _person(one: accounts.User) -> Person:
    return Person(**{name: getattr(one, name) for name in Person.model_fields})

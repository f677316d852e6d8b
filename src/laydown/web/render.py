"""Pages from templates."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import Mapping
from typing import Any, NamedTuple
from urllib.parse import quote

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from laydown.domain.shop import Preferences
from laydown.errors import LaydownError
from laydown.report.decimal_sign import sentence
from laydown.report.display_units import date, number
from laydown.report.plain_text import capital
from laydown.services.opening import ShopHead, shop_head
from laydown.web.assets import Assets
from laydown.web.identity import Identity
from laydown.web.needs import need_named
from laydown.web.places import NEW_ORDER
from laydown.web.state import AppState, state_of

THEMES = ("auto", "light", "dark")
THEME_COOKIE, DECIMAL_COOKIE = "laydown_theme", "laydown_decimal"

log = logging.getLogger("laydown.web")


class Taste(NamedTuple):
    """How whoever asks likes to read: units, the sign before decimals, light or dark."""

    units: Preferences
    decimal: str
    theme: str


def make_templates(assets: Assets) -> Environment:
    """Environment of the templates; a name that a page forgot is an error, never an empty place."""
    environment = Environment(
        loader=PackageLoader("laydown.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["asset"] = assets.address
    environment.filters["moment"] = _moment
    environment.filters["figures"] = lambda text: sentence(str(text)).replace("ΔE00", "ΔE₀₀")
    environment.filters["count"] = number
    environment.filters["day"] = date
    environment.filters["cap"] = lambda text: capital(str(text))
    environment.filters["path"] = lambda text: quote(str(text), safe="")
    return environment


def render(request: Request, template: str, *, status: int = 200, **context: Any) -> HTMLResponse:
    """Page of a template.

    Parameters
    ----------
    request : Request
    template : str
        File in ``templates/``.
    status : int
    **context
        What the template needs beside what every page has: ``who`` (`Identity` or None), ``shop`` (`ShopHead` or
        None), ``taste`` (`Taste`), ``csrf``, ``may(need)``, ``places``, ``here``.
    """
    state = state_of(request)
    who: Identity | None = getattr(request.state, "identity", None)
    shop = shop_of(request)

    def may(need: str) -> bool:
        return who is not None and who.may(need_named(need))

    places = [place for place in state.places if may(place.need)]
    common = {
        "who": who,
        "shop": shop,
        "taste": taste_of(request),
        "csrf": who.csrf if who is not None else "",
        "may": may,
        "places": [place for place in places if place != NEW_ORDER] if shop else [],
        "new_order": NEW_ORDER if NEW_ORDER in places and shop else None,
        "here": request.url.path,
        "request_id": getattr(request.state, "request_id", ""),
    }
    text = state.templates.get_template(template).render(**(common | context))
    return HTMLResponse(text, status_code=status)


def shop_of(request: Request) -> ShopHead | None:
    """Name and preferences of the shop, for people who may see them; read once a request."""
    if not hasattr(request.state, "shop"):
        who: Identity | None = getattr(request.state, "identity", None)
        request.state.shop = _shop(state_of(request)) if who is not None and who.role is not None else None
    found: ShopHead | None = request.state.shop
    return found


def taste_of(request: Request) -> Taste:
    """How whoever asks likes to read: their own preferences over the shop's."""
    shop = shop_of(request)
    who: Identity | None = getattr(request.state, "identity", None)
    own = dict(who.user.preferences) if who is not None and who.user is not None else {}
    units = shop.preferences if shop is not None else Preferences()
    known = {name: own[name] for name in ("temperature", "mesh", "length", "areal_mass", "paper") if name in own}
    if known:
        units = Preferences(**({name: getattr(units, name) for name in Preferences.__dataclass_fields__} | known))
    theme = request.cookies.get(THEME_COOKIE, "auto")
    return Taste(units=units, decimal=_decimal(request, own), theme=theme if theme in THEMES else "auto")


def decimal_of(request: Request) -> str:
    """Sign before decimals in what a request gets to read: of whoever asks on pages, a point for programs."""
    if request.url.path.startswith("/api/"):
        return "."
    who: Identity | None = getattr(request.state, "identity", None)
    return _decimal(request, who.user.preferences if who is not None and who.user is not None else {})


def _decimal(request: Request, own: Mapping[str, Any]) -> str:
    return "," if (own.get("decimal") or request.cookies.get(DECIMAL_COOKIE)) == "," else "."


def _shop(state: AppState) -> ShopHead | None:
    try:
        return shop_head(state.store)
    except LaydownError as error:
        # The page that tells of a database out of reach needs no name in its bar.
        log.warning("the shop's name could not be read: %s", error)
        return None


def _moment(moment: dt.datetime | None) -> str:
    return moment.astimezone().strftime("%Y-%m-%d %H:%M") if moment is not None else "–"

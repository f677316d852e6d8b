"""Open the shop's database, start a shop in it, and say which shop it is."""

from __future__ import annotations

from dataclasses import dataclass, replace

from laydown.domain.shop import Preferences, Shop
from laydown.store.database import Store, open_store

__all__ = ["ShopHead", "Store", "current_shop", "open_database", "shop_head", "start_demo", "start_empty"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopHead:
    """What every page says of the shop."""

    name: str
    preferences: Preferences


def open_database(url: str | None = None) -> Store:
    """Open the store of a shop; made and upgraded by itself.

    Parameters
    ----------
    url : str or None
        ``sqlite:///<file>``, ``postgresql://...`` or None: SQLite in the user's data folder.

    Raises
    ------
    InvalidInput
        When the address cannot be read.
    StoreUnavailable
        When the database cannot be opened.
    """
    return open_store(url)


def shop_head(store: Store) -> ShopHead | None:
    """Name and preferences of the shop; None when no shop was started in the store yet."""
    from laydown.store import shelves

    with store.read() as tx:
        found = shelves.settings(tx, "shop", "preferences")
    if "shop" not in found:
        return None
    return ShopHead(name=found["shop"], preferences=found.get("preferences", Preferences()))


def current_shop(store: Store) -> Shop:
    """Shop as its shelves are now.

    Raises
    ------
    NotFound
        When no shop was started yet.
    """
    from laydown.store.shop_exchange import load_shop

    with store.read() as tx:
        return load_shop(tx)


def start_demo(store: Store, *, who: str, history: bool = False) -> ShopHead:
    """Put the invented shop and its orders into an empty store.

    Parameters
    ----------
    history : bool
        With two weeks of invented checks of its dryer and a probe log, so that its pages are not empty.

    Raises
    ------
    Conflict
        When there is a shop already.
    """
    from laydown.documents.template import demo_art, demo_order_texts
    from laydown.services.shelves import open_shop
    from laydown.store import files, orders, shop_exchange

    shop = open_shop()
    art = demo_art()
    with store.write(who=who) as tx:
        _refuse_a_second(shop_exchange.has_shop(tx))
        shop_exchange.save_shop(tx, shop)
        for text in demo_order_texts().values():
            named = {name: files.put(tx, content).sha256 for name, content in art.items() if f'"{name}"' in text}
            orders.add(tx, text, files=named, reason="demo order")
    if history:
        from laydown.services.demo_history import add_history

        add_history(store, shop, who=who)
    return ShopHead(name=shop.name, preferences=shop.preferences)


def start_empty(store: Store, name: str, *, who: str) -> ShopHead:
    """Start a shop that owns nothing yet: the usual trade rules, and rates to be checked.

    Raises
    ------
    InvalidInput
        When the name is none.
    Conflict
        When there is a shop already.
    """
    from laydown.domain.costs import Practice
    from laydown.services.shelves import open_shop
    from laydown.store import shelves, shop_exchange

    nothing = dict.fromkeys(("garments", "inks", "screens", "presses", "dryers"), ())
    shop = replace(open_shop(), practice=Practice(), **nothing)  # type: ignore[arg-type]
    with store.write(who=who) as tx:
        _refuse_a_second(shop_exchange.has_shop(tx))
        shop_exchange.save_shop(tx, shop)
        stands = shelves.get(tx, "shop", "shop")
        shelves.put(tx, "shop", {"name": name.strip()}, revision=stands.revision)
    return ShopHead(name=name.strip(), preferences=shop.preferences)


def _refuse_a_second(there: bool) -> None:
    from laydown.errors import Conflict

    if there:
        raise Conflict("there is a shop in this database already", kind="shop", name="shop", present=None)

"""The ticket of a kept plan, in the units of whoever prints it."""

from __future__ import annotations

from dataclasses import replace

from laydown.domain.shop import Preferences
from laydown.report.decimal_sign import decimal_sign
from laydown.services.plan_book_view import names_of, read_both
from laydown.services.tickets import ticket


def ticket_of(
    plan_text: str, shop_text: str, prefs: Preferences, folder: str, address: str | None, decimal: str = "."
) -> bytes:
    """PDF of a plan's ticket.

    Parameters
    ----------
    plan_text, shop_text : str
        As the store keeps them.
    prefs : Preferences
    folder : str
        That the order's art lies in.
    address : str or None
        What the code holds; None: there is no code.
    decimal : str
        Sign before decimals.
    """
    plan, shop = read_both(plan_text, shop_text)
    with decimal_sign(decimal, names_of(plan, shop)):
        return ticket(replace(shop, preferences=prefs), plan, folder=folder, code=address)

"""Two plans of an order beside each other: a row for each thing that either says, and whether both say the same."""

from __future__ import annotations

from itertools import zip_longest
from typing import Any

from laydown.services.plan_book_view import View


def side_by_side(left: View, right: View) -> list[View]:
    """Prints of two plans, as `laydown.services.plan_book_view.plan_view` gives them, in rows.

    Returns
    -------
    list of dict
        For each print ``place``, ``prints`` (the two, None where a plan has fewer) and ``rows`` with ``name``,
        ``values`` and ``more`` (two each) and ``same``.
    """
    compared: list[View] = []
    for one, other in zip_longest(left["prints"], right["prints"]):
        sides = [_cells(view, print_) for view, print_ in ((left, one), (right, other))]
        names = dict.fromkeys([*sides[0], *sides[1]])
        rows = [_row(name, sides[0].get(name, ("–", "")), sides[1].get(name, ("–", ""))) for name in names]
        compared.append({"place": (one or other)["place"], "prints": (one, other), "rows": rows})
    return compared


def _row(name: str, left: tuple[str, str], right: tuple[str, str]) -> View:
    return {"name": name, "values": (left[0], right[0]), "more": (left[1], right[1]), "same": left[0] == right[0]}


def _cells(view: View, print_: dict[str, Any] | None) -> dict[str, tuple[str, str]]:
    """Everything that can be compared, by name: what it is and a word beside it."""
    if print_ is None or not print_["stack"]:
        return {}
    cells = {
        "Stack": (print_["stack"], ""),
        "Meets everything": (print_["confidence"], ""),
        "Pieces": (str(view["quantity"]), ""),
        "Press": (
            print_["press"]["name"],
            "" if print_["press"]["turns"] == 1 else f"{print_['press']['turns']} revolutions",
        ),
        "Dryer": (print_["dryer"]["name"], ""),
    }
    cells |= {cell["name"]: (cell["value"], "") for cell in print_["dryer"]["cells"]}
    cells |= {cell["name"]: (cell["value"], cell["more"]) for cell in print_["expect"]}
    if print_["pace"]:
        cells["Pace"] = (f"{print_['pace']['rate']} an hour", f"the {print_['pace']['bottleneck']} sets it")
    if print_["cost"]:
        cells["Cost of this print"] = (print_["cost"]["order"], f"{print_['cost']['piece']} a piece")
        cells |= {f"– {term['name'].lower()}": (term["amount"], "") for term in print_["cost"]["terms"]}
    return cells

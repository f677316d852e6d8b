"""Where a number of a plan comes from."""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass

from laydown.data.read import find_source
from laydown.documents.plan_document import plan_document
from laydown.documents.plan_numbers import PlanNumber, plan_numbers
from laydown.domain.plan import Assumption, Plan, Provenance
from laydown.domain.shop import Shop
from laydown.errors import InvalidInput
from laydown.planning.provenance import origin_of

MOST_NUMBERS = 12
"""A path that holds more numbers than this has to be made longer."""

_UNIT = re.compile(r"_(?:um|mm|gsm|g|percent|n_per_cm|c|k|s|min|h|per_h|m_per_min|de|si)(?=[.\[]|$)")
"""Unit that ends a key."""

_INPUT = re.compile(r"(inputs|assumptions)\[(\d+)\]")


@dataclass(frozen=True, slots=True, kw_only=True)
class InputUsed:
    """An input behind a number.

    Attributes
    ----------
    path : str
        Its key among the plan's inputs; empty for one of the assumptions, which are listed without keys.
    citation : str
        What a reader needs to find the source; empty where the source is the shop's own file or a judgement.
    """

    path: str
    input: Assumption
    citation: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Explanation:
    """Where numbers of a plan come from.

    Attributes
    ----------
    path : str
        In full.
    numbers : tuple of PlanNumber
        One, or the few that stand under the path.
    model, page, range_note : str
        What computed them, its page in the manual, and what it covers.
    inputs : tuple of InputUsed
    """

    path: str
    numbers: tuple[PlanNumber, ...]
    model: str
    page: str
    range_note: str
    inputs: tuple[InputUsed, ...]


def explain_number(shop: Shop, plan: Plan, path: str) -> Explanation:  # noqa: ARG001 - every service takes the shop
    """Trace a number of a plan to its model and to the inputs behind it.

    Parameters
    ----------
    shop : Shop
    plan : Plan
    path : str
        As in the plan's JSON, places counted from 0: ``prints[0].forecast.bleed.days[5].difference_de.p50``. Leading
        keys may be left out where one thing only is meant, and so may trailing ones of a few numbers and the units
        that keys end in.

    Returns
    -------
    Explanation

    Raises
    ------
    InvalidInput
        When the plan has no such number (the sentence names the nearest), several fit, or too many stand under it.
    """
    full, numbers = _find(path.strip(), plan_numbers(plan_document(plan)))
    origin = origin_of(numbers[0].path, plan.provenance)
    if origin is None:  # every number of a plan has an origin; a test holds that
        raise InvalidInput(f"no origin is known for {full!r}")
    return Explanation(
        path=full,
        numbers=numbers,
        model=origin.model,
        page=origin.page,
        range_note=origin.range_note,
        inputs=tuple(
            InputUsed(path=key, input=used, citation=_citation(used))
            for key, used in _inputs(plan, numbers[0].path, origin)
        ),
    )


def _inputs(plan: Plan, path: str, origin: Provenance) -> tuple[tuple[str, Assumption], ...]:
    itself = _INPUT.match(path)
    if itself is None:
        used = set(origin.inputs)
        return tuple(pair for pair in plan.inputs if pair[0] in used)
    place = int(itself[2])
    return (plan.inputs[place],) if itself[1] == "inputs" else (("", plan.assumptions[place]),)


def _citation(used: Assumption) -> str:
    source = find_source(used.quantity.source)
    # The general note on judgements says nothing that the grade does not.
    return source.citation if source and source.key != "assumed" else ""


def _find(asked: str, numbers: tuple[PlanNumber, ...]) -> tuple[str, tuple[PlanNumber, ...]]:
    """Full path of what is asked for, and the numbers under it."""
    under: dict[str, list[PlanNumber]] = {}
    for number in numbers:
        for node in _nodes(number.path):
            under.setdefault(node, []).append(number)
    found = [asked] if asked in under else [node for node in under if asked and node.endswith("." + asked)]
    if not found and asked:
        bare = _UNIT.sub("", asked)
        found = [node for node in under if f".{_UNIT.sub('', node)}".endswith("." + bare)]
    if not found:
        raise InvalidInput(f"the plan has no number {asked!r}; nearest are {_nearest(asked, tuple(under))}")
    if len(found) > 1:
        raise InvalidInput(f"{asked!r} fits {len(found)} places of the plan, so name one of them: {_some(found)}")
    (node,) = found
    if len(under[node]) > MOST_NUMBERS:
        first = [number.path for number in under[node]]
        raise InvalidInput(f"{len(first)} numbers stand under {node!r}, so name one of them: {_some(first)}")
    return node, tuple(under[node])


def _nodes(path: str) -> tuple[str, ...]:
    """Return a path and everything that it begins with: ``a.b[0].c`` gives ``a``, ``a.b``, ``a.b[0]`` and itself."""
    ends = [match.start() for match in re.finditer(r"[.\[]", path)]
    return tuple(path[:end] for end in (*ends, len(path)))


def _nearest(asked: str, nodes: tuple[str, ...]) -> str:
    """List the paths most like the one asked for, leading keys left out where they were left out."""
    depth = len(re.findall(r"\.", asked)) + 1
    short = {".".join(node.split(".")[-depth:]): node for node in nodes}
    close = difflib.get_close_matches(asked, short, n=3, cutoff=0.3) or list(short)[:3]
    return _some([short[name] for name in close])


def _some(paths: list[str]) -> str:
    return ", ".join(paths[:4]) + (", ..." if len(paths) > 4 else "")

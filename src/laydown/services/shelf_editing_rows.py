"""The form of a shelf item, made from the model that reads its document: labels, units, ranges, choices."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum
from typing import Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo
from pydantic_core import PydanticUndefined

from laydown.documents.entry import Entry, key_facts
from laydown.documents.quantity_value import QuantityTable
from laydown.documents.rule_file import TESTS, ConditionEntry
from laydown.domain.quantity import Grade

GRADES = tuple(str(grade) for grade in Grade)

LABELS = (
    ("automatic", "Prints by itself"),
    ("eom_um", "Emulsion over mesh (EOM)"),
    ("scattering_per_mm", "Scattering S"),
    ("absorption_per_mm", "Absorption K"),
    ("lab", "CIELAB"),
    ("lab_condition", "CIELAB refers to"),
    ("colour", "Colour (sRGB)"),
    ("contrast_um", "Drawdown thickness"),
    ("fusion_c", "Cure temperature"),
    ("hold_s", "Held for"),
    ("pail_kg", "Pail"),
    ("index_s", "Index time"),
    ("load_s", "Load time"),
    ("catch_s", "Catch time"),
    ("screen", "Screen, material"),
    ("screen_min", "Screen, work"),
    ("set_up_min", "Set-up of a screen"),
    ("exchange", "Radiant exchange"),
    ("air_w_per_m2k", "Air coefficient"),
    ("belt_w_per_m2k", "Belt coefficient"),
    ("radiant_c", "Emitter temperature"),
    ("panel_c", "Panel temperature"),
    ("air_c", "Air temperature"),
    ("pallet_c", "Pallet temperature"),
    ("temperature_c", "Temperature"),
    ("storage_c", "Store room temperature"),
    ("setting_c", "Usual setting"),
    ("setting_low_c", "Lowest setting"),
    ("setting_high_c", "Highest setting"),
    ("softness_percent_per_10gsm", "Worth of softness, % per 10 g/m²"),
    ("flash", "Flash units"),
    ("zone", "Zones"),
    ("condition", "Light and observer"),
    ("address", "Address that tablets open"),
    ("price_per_kg", "Price per kg"),
    ("gel_c", "Gel temperature"),
    ("activation_kj_per_mol", "Activation energy"),
    ("size_mm", "Length on the belt"),
    ("width_mm", "Width on the belt"),
    ("count_per_cm", "Mesh count"),
    ("count", "How many"),
    ("stroke_mm_per_s", "Stroke speed"),
    ("registration_mm", "Registration"),
    ("transfer_percent", "Transfer"),
    ("ink_keeping_per_year", "Keeping an ink, per year"),
    ("wash_up", "Wash-up"),
)
"""Labels that the key does not give by itself."""

_ENDINGS = (
    *("_kj_per_mol", "_g_per_ml", "_w_per_m2k", "_n_per_cm", "_m_per_min", "_ft_per_min", "_mm_per_s", "_cm3_m2"),
    *("_per_cm", "_per_in", "_per_mm", "_oz_yd2", "_percent", "_gsm", "_days", "_min", "_mil", "_um", "_mm", "_in"),
    *("_kg", "_c", "_f", "_k", "_s"),
)
LONG_TEXTS = ("note", "reason", "source", "care_label", "purpose", "text", "limit")
"""Keys whose texts get several lines."""

LINES = ("materials", "cautions")
"""Keys whose list holds whole sentences, one a line."""

LAST = ("lot", "note", "grade", "source")
"""Keys that stand at the end of a form."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitKey:
    """A key of the document that says the row's number in one unit, and what is allowed in it."""

    key: str
    unit: str
    least: float | None = None
    most: float | None = None
    above: bool = False
    spread: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """A line of the form.

    Attributes
    ----------
    name : str
        What its fields are called in a form: the first of its keys.
    kind : str
        ``text``, ``long text``, ``number``, ``quantity`` (a number with interval, grade and source), ``choice``,
        ``choices``, ``numbers``, ``words``, ``lines``, ``shares``, ``conditions`` or ``blocks``.
    keys : tuple of UnitKey
        Several for a number that may be written in several units.
    options : tuple of str
        What may be chosen.
    needed : bool
        Whether the item cannot be without it.
    usual : str
        What is taken when it is left empty; empty when nothing is.
    whole : bool
        Whether a number has no decimals.
    longest : int
        Characters of a text.
    rows : tuple of Row
        Lines of one block.
    """

    name: str
    label: str
    meaning: str
    kind: str
    keys: tuple[UnitKey, ...]
    options: tuple[str, ...] = ()
    needed: bool = False
    usual: str = ""
    whole: bool = False
    longest: int = 80
    rows: tuple[Row, ...] = ()


def rows_of(model: type[BaseModel], options: Mapping[str, tuple[str, ...]] | None = None) -> tuple[Row, ...]:
    """Lines of the form of a model, its name first.

    Parameters
    ----------
    model : type of pydantic model
        Of `laydown.documents`.
    options : mapping of str to tuple of str
        What may be chosen for keys whose choices stand on other shelves.
    """
    found: dict[str, Row] = {}
    for key, field in sorted(model.model_fields.items(), key=lambda item: _position(item[0], model)):
        facts = key_facts(field)
        group = str(facts.get("stands_for") or key)
        unit = _unit_key(key, facts)
        if group in found:
            present = found[group]
            found[group] = _with_key(present, unit)
        else:
            found[group] = _row(key, field, unit, options or {})
    return tuple(found.values())


def _position(key: str, model: type[BaseModel]) -> int:
    """Name first; then the item's own keys, its colour, and where its numbers are from."""
    if key == "name":
        return 0
    if key in LAST:
        return 3
    return 1 if key in model.__annotations__ else 2


def _with_key(row: Row, unit: UnitKey) -> Row:
    values = {name: getattr(row, name) for name in Row.__dataclass_fields__}
    return Row(**(values | {"keys": (*row.keys, unit)}))


def _row(key: str, field: FieldInfo, unit: UnitKey, options: Mapping[str, tuple[str, ...]]) -> Row:
    kind, inner = _kind(key, field)
    chosen = options.get(key, ())
    if chosen:
        kind = "choice"
    elif kind in {"choice", "choices"}:
        chosen = tuple(_words(inner))
    facts = key_facts(field)
    longest = next(
        (m.max_length for m in _metadata(field) if getattr(m, "max_length", None)), 7 if key == "colour" else 80
    )
    return Row(
        name=key,
        label=label_of(key),
        meaning=field.description or "",
        kind="long text" if key in LONG_TEXTS else kind,
        keys=(unit,),
        options=chosen,
        needed=bool(field.is_required() or facts.get("needed")),
        usual=_usual(field),
        whole=inner is int,
        longest=longest,
        rows=rows_of(inner) if kind == "blocks" else (),
    )


def label_of(key: str) -> str:
    """Label of a key: what it says without its unit."""
    known = dict(LABELS).get(key)
    if known:
        return known
    stem = next((key.removesuffix(ending) for ending in _ENDINGS if key.endswith(ending)), key)
    text = (stem or key).replace("_", " ").strip()
    return text[:1].upper() + text[1:]


def _unit_key(key: str, facts: Mapping[str, Any]) -> UnitKey:
    spread = ""
    if "spread" in facts:
        share = facts.get("spread_is") == "relative"
        spread = f"± {100 * facts['spread']:g} %" if share else f"± {facts['spread']:g} {facts['unit']}".rstrip()
    return UnitKey(
        key=key,
        unit=str(facts.get("unit", "")),
        least=facts.get("minimum", facts.get("exclusiveMinimum")),
        most=facts.get("maximum"),
        above="exclusiveMinimum" in facts,
        spread=spread,
    )


def _kind(key: str, field: FieldInfo) -> tuple[str, Any]:  # noqa: PLR0911 - one return a kind
    inner = _inner(field.annotation)
    item = _inner(next(iter(get_args(inner)), None)) if get_origin(inner) is list else None
    if inner is QuantityTable:
        return "quantity", inner
    if item is ConditionEntry:
        return "conditions", item
    if isinstance(item, type) and issubclass(item, Entry):
        return "blocks", item
    if tuple(_words(item)):
        return "choices", item
    if item in {int, float} or key == "spectrum":
        return "numbers", item
    if item is str:
        return ("lines" if key in LINES else "words"), item
    if get_origin(inner) is dict:
        return "shares", inner
    if tuple(_words(inner)):
        return "choice", inner
    if inner in {int, float}:
        return "number", inner
    return "text", str


def _inner(annotation: Any) -> Any:
    """Type without what says that it may be absent or how long it may be."""
    origin = get_origin(annotation)
    if origin in {Union, types.UnionType}:
        parts = [part for part in get_args(annotation) if part is not type(None)]
        return _inner(parts[0])
    if hasattr(annotation, "__metadata__"):
        return _inner(get_args(annotation)[0])
    return annotation


def _metadata(field: FieldInfo) -> list[Any]:
    """Limits of a field, also those that stand within a choice of types."""
    nested = [m for part in get_args(field.annotation) for m in getattr(part, "__metadata__", ())]
    flat: list[Any] = []
    for one in (*field.metadata, *nested):
        flat += one.metadata if isinstance(one, FieldInfo) else [one]
    return flat


def _words(annotation: Any) -> Iterator[str]:
    if isinstance(annotation, type) and issubclass(annotation, Enum):
        yield from (str(member.value) for member in annotation)
    elif annotation is bool:
        yield from ("yes", "no")
    elif get_origin(annotation) is Literal:
        yield from (str(argument) for argument in get_args(annotation))


def _usual(field: FieldInfo) -> str:
    default = field.default
    if default is PydanticUndefined or default is None or isinstance(default, BaseModel | list):
        return ""
    if isinstance(default, bool):
        return "yes" if default else "no"
    return f"{default:g}" if isinstance(default, int | float) else str(default)


def model_in(annotation: Any) -> Any:
    """Model of the blocks of a list."""
    return _inner(next(iter(get_args(_inner(annotation)))))


TEST_WORDS = tuple((word, word.replace("_", " ")) for word in TESTS)
"""Test words of a condition, and how they are read."""

"""Every error a caller of laydown may catch.

::

    LaydownError
    ├── InvalidInput      something the user wrote cannot be used; one sentence says what, where, what would do
    ├── NotFound          a name that is on no shelf
    ├── OutOfRange        a model was asked outside the range its source covers
    ├── ConvergenceError  a solver could not reach its tolerance
    ├── Conflict          somebody else changed the same thing meanwhile; carries how it stands now
    └── StoreUnavailable  the database cannot be opened, read or written; nothing of the change was kept

The errors know no HTTP status and no exit code: each door has one table for that.
"""

from __future__ import annotations

from collections.abc import Iterable


class LaydownError(Exception):
    """Base of everything laydown raises on purpose; ``str(error)`` is one sentence fit for a user."""


class InvalidInput(LaydownError):
    """Something the user wrote cannot be used.

    Parameters
    ----------
    what : str
        What is wrong and what would be allowed, as the end of a sentence.
    where : str
        File and line, or file and key, or the field's name; empty when there is no place to name.
    """

    def __init__(self, what: str, *, where: str = "") -> None:
        self.what = what
        self.where = where
        super().__init__(f"{where}: {what}" if where else what)


class NotFound(LaydownError):
    """A name that is on no shelf; the message lists what is there."""

    def __init__(self, kind: str, name: str, known: Iterable[str], *, where: str = "") -> None:
        self.kind = kind
        self.name = name
        self.known = tuple(known)
        self.where = where
        there = f"; on the shelf: {', '.join(repr(k) for k in self.known)}" if self.known else ""
        sentence = f"there is no {kind} named {name!r}{there}"
        super().__init__(f"{where}: {sentence}" if where else sentence)


class NoShop(NotFound):
    """A database in which no shop was started yet."""

    def __init__(self) -> None:
        super().__init__("shop", "shop", ())
        told = "this database holds no shop yet; 'laydown serve' starts an invented or an empty one"
        self.args = (told,)


class OutOfRange(LaydownError):
    """A model was asked outside the range that its source covers."""

    def __init__(self, model: str, quantity: str, value: float, low: float, high: float, unit: str) -> None:
        self.model = model
        self.quantity = quantity
        self.value = value
        self.low = low
        self.high = high
        self.unit = unit
        super().__init__(
            f"{model}: {quantity} = {value:g} {unit} is outside the range it covers, {low:g} to {high:g} {unit}"
        )


class ConvergenceError(LaydownError):
    """A solver could not reach its tolerance; the message names the solver and the state it stopped in."""


class Conflict(LaydownError):
    """Somebody else changed the same thing after it was read for this change; nothing was written.

    Parameters
    ----------
    kind, name : str
        What was to be changed.
    present : object or None
        The record as it stands now, for showing beside the change; None when it was removed.
    """

    def __init__(self, what: str, *, kind: str, name: str, present: object | None) -> None:
        self.what = what
        self.kind = kind
        self.name = name
        self.present = present
        super().__init__(what)


class StoreUnavailable(LaydownError):
    """The database cannot be opened, read or written; nothing of the change was kept.

    Parameters
    ----------
    what : str
        What is wrong and what to do about it, as the end of a sentence.
    where : str
        Which database, without its password.
    busy : bool
        Whether the same thing may work in a moment.
    """

    def __init__(self, what: str, *, where: str = "", busy: bool = False) -> None:
        self.what = what
        self.where = where
        self.busy = busy
        super().__init__(f"{where}: {what}" if where else what)

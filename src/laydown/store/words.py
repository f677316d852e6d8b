"""Words that a column may hold, and what the tables call things."""

from __future__ import annotations

SHELVES = ("garments", "inks", "meshes", "screens", "presses", "dryers", "rules", "protocols")
"""Kinds of shelf item of which there are many, each with a name of its own."""

SETTINGS = ("shop", "preferences", "climate", "costs", "practice")
"""Kinds of shelf item of which there is one, named as its kind."""

SHELF_KINDS = (*SHELVES, *SETTINGS)

ORDER_STATES = ("new", "planned", "approved", "printing", "done", "cancelled")

PRESS_ENTRIES = ("set-up step", "strike-off", "count", "misprint", "probe reading", "note", "withdrawal")
"""What is entered at the press; a withdrawal takes an earlier entry back and leaves both to be seen."""

ROLES = ("viewer", "press", "lead", "owner")
"""Each may do what the ones before it may."""

JOB_STATES = ("waiting", "running", "done", "failed", "cancelled")
"""``done``, ``failed`` and ``cancelled`` are final."""

SWATCH_STATES = ("planned", "made", "read", "dropped")

READS = ("colour", "staining grade", "change grade", "mass", "temperature", "tone", "pass or fail", "photo")

FINDING_LEVELS = ("lot", "cloth", "dye class", "ink film")

SHOP_MEASURES = ("transfer", "optics", "tone")
"""What a shop measures of its screens and inks: share of ink that leaves the mesh, S and K, dot gain."""

MAPPINGS = ("measurements", "probe log")
"""Kinds of file whose columns somebody told once."""

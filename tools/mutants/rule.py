"""Which mutants do not count: changes that alter no number and no verdict that a caller can act on.

Left out are changes of

* the message of a raised error (its first argument; of a call to ``require_range`` the name of model and quantity and
  the unit, which end in a message too). Left in is ``where=``, by which a form finds the field, and a missing message;
* ``dtype=np.float64`` taken away or made ``None``: for the numbers that physics is given, numpy chooses float64 itself;
* docstrings and annotations.

``__all__`` and whatever else stands outside of functions is never changed.
"""

from __future__ import annotations

import ast

# Where a call to require_range says something that only its message shows.
NAMES_IN_MESSAGES = (0, 1, 5)


def left_out(original: ast.AST, mutant: ast.AST) -> str | None:
    """Say why a mutant of a function does not count ("message", "dtype", "docstring", "annotation"), or None."""
    path = _path(original, mutant)
    nodes = [node for node, *_ in path]
    for (node, field, index), parent in zip(path, [None, *nodes], strict=False):
        if field in {"annotation", "returns"}:
            return "annotation"
        if isinstance(node, ast.Call) and field == "args":
            raised = isinstance(parent, ast.Raise) and parent.exc is node and index == 0
            if raised or (_called(node) == "require_range" and index in NAMES_IN_MESSAGES):
                return "message"
        if isinstance(node, ast.FunctionDef) and (field, index) == ("body", 0) and _is_docstring(node):
            return "docstring"
    return "dtype" if _drops_float64(mutant, path) else None


def _path(original: ast.AST, mutant: ast.AST) -> list[tuple[ast.AST, str, int | None]]:
    """Steps from the function down to the smallest part that differs; the last step's part is replaced whole."""
    if type(original) is not type(mutant):
        return []
    unlike: list[tuple[str, int | None, object, object]] = []
    for field, old in ast.iter_fields(original):
        new = getattr(mutant, field)
        if isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
            unlike += [(field, i, a, b) for i, (a, b) in enumerate(zip(old, new, strict=True)) if not _same(a, b)]
        elif not _same(old, new):
            unlike.append((field, None, old, new))
    if len(unlike) != 1:
        return []
    field, index, old, new = unlike[0]
    step = (original, field, index)
    return [step, *_path(old, new)] if isinstance(old, ast.AST) and isinstance(new, ast.AST) else [step]


def _same(a: object, b: object) -> bool:
    if isinstance(a, list) and isinstance(b, list):
        return len(a) == len(b) and all(map(_same, a, b))
    if isinstance(a, ast.AST) and isinstance(b, ast.AST):
        return ast.dump(a) == ast.dump(b)
    return type(a) is type(b) and a == b


def _drops_float64(mutant: ast.AST, path: list[tuple[ast.AST, str, int | None]]) -> bool:
    if not path:
        return False
    node, field, index = path[-1]
    changed = mutant
    for _, name, i in path[:-1]:
        part = getattr(changed, name)
        changed = part if i is None else part[i]
    if isinstance(node, ast.keyword) and isinstance(changed, ast.keyword):
        made_none = isinstance(changed.value, ast.Constant) and changed.value.value is None
        return node.arg == "dtype" and _is_float64(node.value) and made_none
    if isinstance(node, ast.Call) and isinstance(changed, ast.Call) and field == "keywords" and index is None:
        gone = [k for k in node.keywords if not any(_same(k, other) for other in changed.keywords)]
        return len(gone) == 1 and gone[0].arg == "dtype" and _is_float64(gone[0].value)
    return False


def _is_float64(value: ast.AST) -> bool:
    return isinstance(value, ast.Attribute) and value.attr == "float64"


def _called(node: ast.Call) -> str:
    return node.func.id if isinstance(node.func, ast.Name) else ""


def _is_docstring(node: ast.FunctionDef) -> bool:
    first = node.body[0]
    return isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant) and isinstance(first.value.value, str)

"""``laydown schema``: what plans and order files look like, for programs."""

from __future__ import annotations

from typing import Annotated

import typer


def schema(
    kind: Annotated[str, typer.Argument(metavar="plan|order", help="Which one.", show_default=False)],
) -> None:
    """Write the JSON schema of a plan or of an order file."""
    import json

    from laydown.cli.output import write_out
    from laydown.services.schemas import schema as find_schema

    write_out(json.dumps(find_schema(kind), indent=2, ensure_ascii=False) + "\n")

"""The command ``laydown``: every command, and the one place where an error becomes a sentence and an exit status.

Nothing heavy is imported here or at the top of a command's file, so that ``laydown --help`` answers at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from typing import Annotated, NoReturn

import typer

from laydown import __version__
from laydown.cli import art, claim, demo, lookback, plan, probe_store, schema, serve, shop, store, swatch_reading
from laydown.cli.status import BAD_INPUT, DONE, FAULT, INTERRUPTED, status_of
from laydown.errors import LaydownError

UsageError: type[Exception] = typer.BadParameter.__mro__[1]
"""A command line that cannot be read. Typer does not publish it, but every version derives this one from it."""

app = typer.Typer(
    name="laydown",
    help="Plan a garment screen print before a screen is burned.",
    epilog="'laydown COMMAND --help' tells more. Exit status: 0 done, 2 bad input, 3 no stack meets every requirement.",
    rich_markup_mode=None,
    add_completion=False,
    pretty_exceptions_enable=False,
)
app.command()(plan.plan)
app.command()(plan.explain)
app.command()(art.art)
app.command()(art.plates)
app.command()(art.preview)
app.command()(shop.init)
app.command()(shop.rules)
app.command()(shop.whites)
app.command()(schema.schema)
app.command()(demo.demo)
app.command()(demo.warmup)
app.command()(lookback.lookback)
app.command()(serve.serve)
app.command()(store.backup)
app.command()(store.restore)
app.add_typer(claim.claim)
app.add_typer(probe_store.commands)
app.add_typer(swatch_reading.commands)


def _show_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"laydown {__version__}")
        raise typer.Exit


def _show_help(context: typer.Context, wanted: bool) -> None:
    if wanted:
        typer.echo(context.get_help())
        raise typer.Exit


# Typer's own --help of a group imports pydantic whenever it is not given, even for the help of a command.
@app.callback(invoke_without_command=True, add_help_option=False)
def _laydown(
    context: typer.Context,
    version: Annotated[  # noqa: ARG001 - the callback has answered it
        bool, typer.Option("--version", help="Show the version.", callback=_show_version, is_eager=True)
    ] = False,
    debug: Annotated[  # noqa: ARG001 - read in `main`, which has to know it before the command line is understood
        bool, typer.Option("--debug", help="Show the trace of an unexpected error.")
    ] = False,
    help_: Annotated[  # noqa: ARG001 - the callback has answered it
        bool, typer.Option("--help", help="Show this message.", callback=_show_help, is_eager=True)
    ] = False,
) -> None:
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def run() -> NoReturn:
    """Run the command line of this process."""
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str]) -> int:
    """Run one command line and return its exit status; never raises.

    Parameters
    ----------
    arguments : sequence of str
        Without the program's name.
    """
    debug = "--debug" in arguments
    if not debug:
        # A library's remark is of no use to a printer and would stand between the lines that are.
        import warnings

        warnings.simplefilter("ignore")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            # On a terminal that lacks a letter, a substitute is better than no answer.
            stream.reconfigure(errors="replace")
    try:
        status = app(args=list(arguments), prog_name="laydown", standalone_mode=False)
        sys.stdout.flush()
    except UsageError as error:
        return _fail(f"{_usage(error)}; 'laydown --help' shows the commands, 'laydown COMMAND --help' one of them")
    except LaydownError as error:
        return _fail(str(error), status_of(error))
    except (KeyboardInterrupt, typer.Abort):
        status = INTERRUPTED
    except BrokenPipeError:
        # Whoever read our output has seen enough; keep Python from complaining when it flushes at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as error:  # noqa: BLE001 - the last door: a user gets a sentence, never a trace
        if debug:
            import traceback

            traceback.print_exc()
        return _fail(
            f"this should not have happened, nothing was written ({type(error).__name__}: {error}); please report it "
            "as CONTRIBUTING.md says, with the files it happened with ('laydown --debug ...' shows the trace)",
            FAULT,
        )
    if status == INTERRUPTED:  # typer turns an interrupt into this status
        return _fail("interrupted, nothing was written", INTERRUPTED)
    return status if isinstance(status, int) else DONE


def _usage(error: Exception) -> str:
    told = error.format_message() if hasattr(error, "format_message") else str(error)
    text = " ".join(told.split()).rstrip(".").replace(". Did you mean", "; did you mean")
    return text[:1].lower() + text[1:]


def _fail(sentence: str, status: int = BAD_INPUT) -> int:
    from laydown.report.plain_text import printable

    typer.echo(f"laydown: {printable(sentence)}", err=True)
    return status

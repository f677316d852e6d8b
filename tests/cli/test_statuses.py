"""Exit statuses, and what is told on standard error."""

import subprocess
import sys
from dataclasses import replace

import pytest
from calls import COTTON, call, call_process, files_under, is_one_sentence

import laydown
from laydown.cli.status import BAD_INPUT, DONE, ERROR_STATUS, FAULT, INTERRUPTED, NOTHING_PASSES, status_of
from laydown.errors import (
    Conflict,
    ConvergenceError,
    InvalidInput,
    LaydownError,
    NotFound,
    OutOfRange,
    StoreUnavailable,
)
from planned import COTTON as COTTON_KEY
from planned import planned


@pytest.fixture
def no_computing(monkeypatch):
    """Plan nothing: hand out what the test sets, or raise it."""
    answer = {"plan": planned(COTTON_KEY)}

    def plan_order(*_args, **_keys):
        if isinstance(answer["plan"], BaseException):
            raise answer["plan"]
        return answer["plan"]

    monkeypatch.setattr("laydown.services.planning.plan_order", plan_order)
    return answer


def incomplete(plan):
    return replace(plan, prints=tuple(replace(one, stack=None) for one in plan.prints))


def test_a_complete_plan_ends_with_0(no_computing):
    assert no_computing["plan"].complete

    assert call("plan", COTTON).status == DONE == 0


def test_a_plan_in_which_nothing_passes_is_written_and_ends_with_3(no_computing, tmp_path):
    no_computing["plan"] = incomplete(no_computing["plan"])

    called = call("plan", COTTON, "--json", "--ticket", str(tmp_path / "t.pdf"))

    assert called.status == NOTHING_PASSES == 3
    assert '"complete": false' in called.out
    assert (tmp_path / "t.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("error", "status"),
    [
        (InvalidInput("a rose is no ink", where="inks.toml"), BAD_INPUT),
        (NotFound("ink", "rose", ("white",)), BAD_INPUT),
        (OutOfRange("heat", "temperature", 9, 1, 2, "K"), BAD_INPUT),
        (Conflict("the ink 'rose' was changed meanwhile", kind="ink", name="rose", present=None), BAD_INPUT),
        (ConvergenceError("heat: no step was small enough at 3 s"), FAULT),
        (StoreUnavailable("the disk is full"), FAULT),
        (LaydownError("something else"), FAULT),
    ],
)
def test_every_error_of_ours_is_its_own_sentence_with_its_status(no_computing, error, status):
    no_computing["plan"] = error

    called = call("plan", COTTON)

    assert (called.status, called.out, called.err) == (status, "", f"laydown: {error}\n")


def test_every_kind_of_error_has_a_status():
    kinds = [kind for kind, _ in ERROR_STATUS]

    assert all(kind in kinds for kind in LaydownError.__subclasses__())
    assert {status_of(kind.__new__(kind)) for kind in kinds} == {BAD_INPUT, FAULT}


def test_an_unexpected_error_is_one_sentence_that_says_where_to_report_it(no_computing):
    no_computing["plan"] = ZeroDivisionError("float division\nby zero")

    called = call("plan", COTTON)

    assert (called.status, called.out) == (FAULT, "")
    assert is_one_sentence(called.err)
    assert "ZeroDivisionError: float division by zero" in called.err
    assert "CONTRIBUTING.md" in called.err


def test_debug_shows_the_trace_of_an_unexpected_error(no_computing):
    no_computing["plan"] = ZeroDivisionError("float division")

    called = call("--debug", "plan", COTTON)

    assert called.status == FAULT
    assert "Traceback" in called.err
    assert called.err.splitlines()[-1].startswith("laydown: ")


def test_an_interrupted_run_says_so_and_leaves_nothing(no_computing, tmp_path):
    no_computing["plan"] = KeyboardInterrupt()

    called = call("plan", COTTON, "--ticket", str(tmp_path / "t.pdf"))

    assert (called.status, called.err) == (INTERRUPTED, "laydown: interrupted, nothing was written\n")
    assert files_under(tmp_path) == {}


def test_a_reader_that_stops_reading_is_no_error():
    done = subprocess.run(
        f"{sys.executable} -c 'from laydown.cli.main import run; run()' schema plan | head -n 1",
        shell=True,
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    )

    assert (done.stdout, done.stderr) == ("{\n", "")


def test_the_version_is_told():
    assert call("--version").out == f"laydown {laydown.__version__}\n"


def test_without_a_command_the_commands_are_listed():
    called = call()

    assert called.status == DONE
    assert called.out == call("--help").out
    for command in ("plan", "explain", "init", "rules", "whites", "schema", "demo", "warmup"):
        assert f"\n  {command} " in called.out


def test_a_terminal_without_our_letters_gets_substitutes_instead_of_an_error(tmp_path):
    called = call_process("plan", str(tmp_path / "ΔE.toml"), PYTHONIOENCODING="ascii", PYTHONUTF8="0", LC_ALL="C")

    assert called.status == BAD_INPUT
    assert is_one_sentence(called.err)

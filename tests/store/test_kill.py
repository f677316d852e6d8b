"""Killed without warning: nothing confirmed is lost, nothing is left half done."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

PROGRAM = Path(__file__).parent / "killed_writers.py"


def report(*arguments):
    done = subprocess.run(
        [sys.executable, str(PROGRAM), *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
        env=os.environ | {"PYTHONPATH": str(PROGRAM.parent)},
    )
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout.splitlines()[-1])


@pytest.mark.slow
def test_writers_killed_200_times_lose_nothing_that_was_confirmed_and_leave_no_half_order(tmp_path):
    told = report("same", f"sqlite:///{tmp_path}/one/laydown.sqlite", 200, 1)

    assert (told["rounds"], told["wrong"], told["lost"]) == (200, [], [])
    assert told["confirmed"] > 100
    # A writer that was killed between its confirmation and the word of it leaves one more, and only one.
    assert told["confirmed"] <= told["orders"] <= told["confirmed"] + 200


@pytest.mark.slow
def test_clients_of_postgresql_killed_40_times_lose_nothing_that_was_confirmed(new_postgresql_url):
    told = report("same", new_postgresql_url(), 40, 2)

    assert (told["rounds"], told["wrong"], told["lost"]) == (40, [], [])
    assert told["confirmed"] > 20


@pytest.mark.slow
def test_a_database_whose_making_was_killed_is_made_by_whoever_opens_it_next(tmp_path):
    told = report("new", tmp_path, 30, 3)

    assert (told["wrong"], told["lost"]) == ([], [])
    assert told["hit"] > 5

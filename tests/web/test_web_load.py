"""A few people read and write at once: no error, every confirmed write is there once. Figures stand in docs/load.md."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

TOOL = Path(__file__).resolve().parents[2] / "tools" / "load" / "run.py"


@pytest.mark.slow
def test_nothing_that_was_confirmed_is_lost_or_doubled_while_many_read_and_write():
    done = subprocess.run(
        [sys.executable, str(TOOL), "--short"], capture_output=True, text=True, timeout=300, check=False
    )

    assert done.returncode == 0, done.stdout + done.stderr
    assert "Errors: 0. Lost or doubled: 0." in done.stdout
    entries = int(re.search(r"Confirmed: (\d+) entries", done.stdout)[1])
    assert entries > 0

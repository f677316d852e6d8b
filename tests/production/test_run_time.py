import pytest

from laydown.errors import InvalidInput
from laydown.production.run_time import run_time, set_up_time, uptime
from laydown.units import MINUTE, from_minute, to_minute, to_percent
from reference_tables import reference_rows


def reference_value(row):
    jobs = int(row["jobs"])
    set_up = jobs * set_up_time(int(row["screens"]), from_minute(float(row["minutes_per_screen"])))
    run = jobs * run_time(int(row["pieces_per_job"]), float(row["pieces_per_minute"]) / MINUTE)
    return {
        "set-up minutes": to_minute(set_up),
        "run minutes": to_minute(run),
        "uptime percent": to_percent(uptime(set_up, run)),
    }[row["name"]]


@pytest.mark.parametrize("row", reference_rows("press_day"), ids=lambda row: row["name"])
def test_the_published_press_day_comes_out(row):
    assert reference_value(row) == pytest.approx(float(row["expected"]), abs=float(row["tolerance"]))


def test_spoiled_pieces_are_printed_on_top():
    assert run_time(100, 0.1, spoilage=0.03) == pytest.approx(1030.0, rel=1e-12)


@pytest.mark.parametrize("call", [lambda: run_time(0, 0.1), lambda: run_time(10, 0.0), lambda: set_up_time(-1, 60.0)])
def test_impossible_hours_are_refused(call):
    with pytest.raises(InvalidInput):
        call()

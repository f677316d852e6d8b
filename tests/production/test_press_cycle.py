import pytest
from hypothesis import given
from hypothesis import strategies as st

from laydown.domain.stack import Role
from laydown.errors import InvalidInput
from laydown.production.press_cycle import hit_time, press_cycle
from production_records import colour_pass, manual_press, press, smoothing_pass, stack, white_pass

WHITE_AND_RED = stack(white_pass(Role.UNDERBASE, hits=2, flash_after=True), colour_pass("red"))


def cycle(machine, printed=WHITE_AND_RED, flash_seconds=(6.0,), **changes):
    return press_cycle(machine, printed, **({"print_height": 0.35, "flash_seconds": flash_seconds} | changes))


def test_a_hit_is_the_print_stroke_and_the_flood_stroke():
    assert hit_time(0.35, 0.5, flood_share=0.0) == pytest.approx(0.7, rel=1e-12)
    assert hit_time(0.35, 0.5) == pytest.approx(1.4, rel=1e-12)


def test_the_flash_rules_an_automatic_press_when_its_dwell_is_longest():
    result = cycle(press())

    assert result.rules == "flash after pass 1, underbase"
    assert result.seconds == pytest.approx(1.5 + 6.0, rel=1e-12)
    assert result.terms == (("index", 1.5), ("flash after pass 1, underbase", 6.0))
    assert result.rate == pytest.approx(1 / 7.5, rel=1e-12)


def test_loading_rules_when_everything_else_is_quick():
    result = cycle(press(), flash_seconds=(3.0,))

    assert result.rules == "loading"
    assert result.seconds == pytest.approx(1.5 + 4.0, rel=1e-12)


def test_hits_at_one_head_add_up_and_can_rule():
    result = cycle(press(load_time=0.5, stroke_speed=0.2), flash_seconds=(3.0,))

    assert result.rules == "pass 1, underbase: 2 hits"
    assert result.seconds == pytest.approx(1.5 + 2 * 2 * 0.35 / 0.2, rel=1e-12)


def test_a_second_revolution_doubles_the_cycle():
    assert cycle(press(), revolutions=2).seconds == pytest.approx(2 * cycle(press()).seconds, rel=1e-12)


def test_a_manual_press_does_one_thing_after_the_other():
    result = cycle(manual_press())

    # Two screens and one flash are swung in at 2 s each; three hits of 1.4 s; flash 6 s; loading 10 s.
    assert result.seconds == pytest.approx(3 * 2.0 + 3 * 1.4 + 6.0 + 10.0, rel=1e-12)
    assert result.rules == "loading"


def test_the_slowest_work_of_a_manual_press_is_named():
    assert cycle(manual_press(), flash_seconds=(11.0,)).rules == "flash after pass 1, underbase"


@pytest.mark.parametrize("machine", [press(), manual_press()], ids=["automatic", "manual"])
@given(dwell=st.floats(0, 60), height=st.floats(0.01, 0.6), hits=st.integers(1, 6))
def test_terms_add_up_and_the_cycle_covers_each_station(machine, dwell, height, hits):
    printed = stack(white_pass(hits=hits, flash_after=True), smoothing_pass(), colour_pass("red"))
    result = cycle(machine, printed, (dwell,), print_height=height)

    assert sum(seconds for _, seconds in result.terms) == pytest.approx(result.seconds, rel=1e-12)
    assert all(result.seconds >= seconds for _, seconds in result.stations)
    assert len(result.stations) == 5


@given(st.floats(0, 60), st.floats(0, 60))
def test_a_longer_flash_never_makes_the_press_faster(one, other):
    shorter, longer = sorted((one, other))
    for machine in (press(), manual_press()):
        assert cycle(machine, flash_seconds=(shorter,)).seconds <= cycle(machine, flash_seconds=(longer,)).seconds


def test_an_automatic_press_is_never_slower_than_the_same_work_by_hand():
    printed = stack(white_pass(flash_after=True), colour_pass("red"), colour_pass("blue"))
    by_hand = manual_press(index_time=1.5, load_time=4.0)

    assert cycle(press(), printed).seconds < cycle(by_hand, printed).seconds


def test_each_flash_needs_its_dwell():
    with pytest.raises(InvalidInput, match="2 flash dwell times are given, but the stack is flashed 1 times"):
        cycle(press(), flash_seconds=(6.0, 6.0))


@pytest.mark.parametrize("dwell", [-1.0, float("nan"), float("inf"), 500.0])
def test_a_dwell_that_no_flash_has_is_refused(dwell):
    with pytest.raises(InvalidInput, match=r"flash dwell is .*allowed is 0 to 120 s"):
        cycle(press(), flash_seconds=(dwell,))


def test_a_manual_press_knows_no_revolutions():
    with pytest.raises(InvalidInput, match="bench is a manual press, which knows no revolutions"):
        cycle(manual_press(), revolutions=2)


@pytest.mark.parametrize("bad", [{"print_height": 0.0}, {"flood_share": -0.1}, {"revolutions": 0}])
def test_impossible_inputs_are_refused(bad):
    with pytest.raises(InvalidInput):
        cycle(press(), **bad)

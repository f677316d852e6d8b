"""What a log says, on curves whose answer is known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from synthetic_probe import SHOP, THREE, draw, written_log

from laydown.domain.probe_log import Lane, ProbeChannel, ProbeLog, Spot
from laydown.lab.probe_edges import find_entry, find_exit
from laydown.lab.probe_reading import read_probe, seconds_above
from laydown.lab.probe_sensor import lagged

DRYER = SHOP.dryers[0]


def channel(times, celsius, *, name="T1", lane=Lane.CENTRE, spot=Spot.ON_PRINT):
    kelvin = np.asarray(celsius, dtype=float) + 273.15
    return ProbeChannel(
        name=name, lane=lane, spot=spot, times=tuple(map(float, times)), temperatures=tuple(map(float, kelvin))
    )


def tent(*, entry=10.0, leave=70.0, start=25.0, top=175.0, lag=0.0, every=0.5, end=90.0):
    """Level, then a straight rise to the exit, then a straight fall; a thermocouple with a lag may have read it."""
    times = np.arange(0.0, end, 0.05)
    rise = (top - start) / (leave - entry)
    true = np.where(
        times < entry, start, np.where(times < leave, start + rise * (times - entry), top - 2 * (times - leave))
    )
    read = lagged(times, true[None], np.array([lag]))[0] if lag else true
    step = round(every / 0.05)
    return times[::step], read[::step]


@settings(max_examples=30)
@given(level=st.floats(30, 170))
def test_time_above_of_a_straight_rise_and_fall_is_exact(level):
    times, celsius = tent(end=200.0, every=5.0)
    total, longest = seconds_above(times, celsius, level)
    up = 10.0 + (level - 25.0) / 2.5
    down = 70.0 + (175.0 - level) / 2.0

    assert total == pytest.approx(down - up, abs=1e-6)
    assert longest == pytest.approx(total)


def test_time_above_with_a_dip_is_told_in_all_and_without_a_break():
    total, longest = seconds_above(np.array([0.0, 1, 2, 3, 4, 5, 6]), np.array([0.0, 2, 0, 2, 2, 2, 0]), 1.0)

    assert total == pytest.approx(1.0 + 3.0)
    assert longest == pytest.approx(3.0)


def test_time_above_what_is_never_reached_is_none():
    assert seconds_above(*tent(), 400.0) == (0.0, 0.0)


@pytest.mark.parametrize("lag", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("every", [0.5, 1.0])
def test_the_bends_are_found_without_the_lag(lag, every):
    times, celsius = tent(lag=lag, every=every)
    entry = find_entry(times, celsius)
    leaving = find_exit(times, celsius, entry.time)

    # What is not known of the lag moves both the same way, so that the belt speed does not suffer.
    assert entry.time == pytest.approx(10.0, abs=max(0.4, 4 * entry.sd))
    assert leaving.time - entry.time == pytest.approx(60.0, abs=0.6)


def test_the_belt_speed_of_synthetic_logs_lies_in_its_interval_nine_times_out_of_ten():
    rng = np.random.default_rng(21)
    inside = 0
    off = []
    for case in range(30):
        dryer = SHOP.dryers[case % 2]
        truth = draw(dryer, rng)
        log, speed = written_log(dryer, truth, rng)
        found = read_probe(log, above=433.15, tunnel_length=dryer.length).speed
        inside += found.low <= speed <= found.high
        off.append(abs(found.value / speed - 1))

    # 27 of 30 are expected; below 22 is less likely than one in a hundred.
    assert inside >= 22
    # A curve whose bend hardly shows has a wide interval; most are found within a hundredth or two.
    assert np.median(off) < 0.015
    assert sum(one > 0.05 for one in off) <= 2


def test_peaks_lanes_and_rates():
    times, celsius = tent()
    log = ProbeLog(
        channels=(
            channel(times, celsius, name="T1", lane=Lane.LEFT),
            channel(times, celsius - np.where(times > 10, 6.0, 0.0), name="T2", lane=Lane.RIGHT),
            channel(times, celsius + 80, name="T3", spot=Spot.AIR),
        )
    )
    reading = read_probe(log, above=423.15, tunnel_length=4.0)

    assert (reading.coolest.channel.name, reading.hottest.channel.name) == ("T2", "T1")
    assert reading.channels[0].peak == pytest.approx(175 + 273.15)
    assert reading.channels[0].peak_time == pytest.approx(70.0)
    assert reading.channels[0].rise == pytest.approx(2.5)
    assert reading.channels[0].fall == pytest.approx(-2.0)
    assert reading.speed.value == pytest.approx(4.0 / 60, rel=0.02)
    assert reading.dwell == pytest.approx(60.0, abs=0.7)
    assert reading.plausible


@pytest.mark.parametrize(
    ("change", "doubt"),
    [
        (lambda t, c: (t, np.full_like(c, 25.0)), "was it plugged in"),
        (lambda t, c: (t, c * 3), "where garments burn"),
        (lambda t, c: (t, np.where(t == 40.0, c + 90, c)), "which no garment does"),
        (lambda t, c: (t[::8], c[::8]), "was read every 4 s only"),
        (lambda t, c: (t[(t < 30) | (t > 42)], c[(t < 30) | (t > 42)]), "has a gap of 13 s"),
        (lambda t, c: (t[t > 12] - 12, c[t > 12]), "does not show the entry"),
        (lambda t, c: (t[t < 60], c[t < 60]), "does not show the exit"),
    ],
)
def test_what_cannot_be_believed_is_said(change, doubt):
    reading = read_probe(ProbeLog(channels=(channel(*change(*tent())),)), above=433.15, tunnel_length=4.0)

    assert not reading.plausible
    assert any(doubt in one for one in reading.doubts), reading.doubts


def test_a_dial_that_disagrees_with_the_curve_and_lanes_far_apart_are_said():
    times, celsius = tent()
    cooler = np.where(times > 10, 25 + (celsius - 25) * 0.7, celsius)
    log = ProbeLog(channels=(channel(times, celsius), channel(times, cooler, name="T2", lane=Lane.LEFT)))
    reading = read_probe(log, above=433.15, tunnel_length=4.0, dialled_speed=0.1)

    assert any("dialled to 6.00 m/min, but the curve says" in one for one in reading.doubts)
    assert any("'T2' peaks 45 K below 'T1'" in one for one in reading.doubts)


def test_wires_in_the_air_say_nothing_of_the_print():
    reading = read_probe(ProbeLog(channels=(channel(*tent(), spot=Spot.AIR),)), above=433.15, tunnel_length=4.0)

    assert reading.coolest is None
    assert "every thermocouple hung in the air" in reading.doubts[0]


def test_the_lag_of_a_ramp_is_exact():
    times = np.linspace(0, 20, 41)
    read = lagged(times, 3.0 * times[None], np.array([2.0]))[0]

    assert read == pytest.approx(3.0 * (times - 2.0 * (1 - np.exp(-times / 2.0))))


def test_synthetic_logs_are_believed():
    rng = np.random.default_rng(3)
    log, speed = written_log(DRYER, draw(DRYER, rng), rng)

    assert read_probe(log, above=433.15, tunnel_length=DRYER.length, dialled_speed=speed).plausible
    assert {one.lane for one in log.channels} == set(THREE)

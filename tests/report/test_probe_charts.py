"""Charts of probes and checks: whole drawings that name what they show, in the units of whoever reads."""

import re
import xml.etree.ElementTree as ET

import pytest

from laydown.domain.shop import Preferences
from laydown.report.check_chart import CheckSeries, check_chart
from laydown.report.probe_chart import DASHES, ForetoldCurve, ProbeCurve, foretold_chart, probe_chart, residual_chart

TIMES = tuple(range(60))
KELVIN = tuple(300.0 + 2.5 * t if t < 50 else 425.0 - 6.0 * (t - 50) for t in TIMES)


def curves(count):
    return [
        ProbeCurve(name=f"wire {n} & <co>", times=TIMES, kelvins=tuple(k + n for k in KELVIN)) for n in range(count)
    ]


def texts(svg):
    return [one.text or "" for one in ET.fromstring(svg).iter() if one.tag.endswith("text")]


@pytest.mark.parametrize("count", [1, 3, 6])
def test_every_wire_is_named_with_its_peak_and_told_apart_by_its_dashes(count):
    svg = probe_chart(curves(count), Preferences(), above=400.0, entry=5.0, leaving=50.0)

    for n in range(count):
        assert f"wire {n} & <co>, peak {425.0 + n - 273.15:.0f}" in texts(svg)
    assert "in" in texts(svg)
    assert "out" in texts(svg)
    assert len({tuple(map(str, dash)) for dash in DASHES[:count]}) == count


def test_fahrenheit_is_drawn_for_whoever_reads_it():
    svg = probe_chart(curves(1), Preferences(temperature="F"), above=433.15)

    assert "above 320 °F" in texts(svg)
    assert "in" not in texts(svg)
    assert "°C" not in svg


def test_a_foretold_curve_names_both_and_says_how_far_off_it_is():
    low, high = (tuple(k + d for k in KELVIN) for d in (-2.0, 2.0))
    curve = ForetoldCurve(
        name="left",
        times=TIMES,
        read=tuple(k + 1.25 for k in KELVIN),
        before=tuple(k - 20 for k in KELVIN),
        after=KELVIN,
        low=low,
        high=high,
    )
    svg = foretold_chart(curve, Preferences(), slug="one")

    assert {"fitted", "shelf before"} <= set(texts(svg))
    assert "up to 1.2 °C" in svg
    assert all(found.startswith("one-") for found in re.findall(r'\bid="([^"]+)"', svg))


def test_residuals_are_drawn_about_nothing():
    svg = residual_chart([("left", TIMES, [0.4] * 60), ("right", TIMES, [-2.5] * 60)], Preferences(), slug="two")

    assert {"left", "right"} <= set(texts(svg))
    assert "Differences reach 2.5 °C." in svg


def series(bad=frozenset(), limits=(158.0, 160.0, 162.0)):
    values = [160.0, 161.0, 159.5, 160.5, 163.0]
    means = [160.0, 160.2, 160.0, 160.1, 160.7] if limits else []
    return CheckSeries(
        values=values,
        days=[f"{n:02d} Nov" for n in range(1, 6)],
        bad=bad,
        limits=limits,
        means=means,
        mean_low=[one - 1 for one in means],
        mean_high=[one + 1 for one in means],
    )


def drawn(one):
    return check_chart(one, slug="peak", title="Peak of Kiln", unit="°C", verdict="the peak lay above its limit")


def test_limits_and_mean_are_named_and_the_verdict_is_the_text_alternative():
    svg = drawn(series(frozenset({4})))

    assert {"lower limit", "mean", "upper limit", "weighted mean", "01 Nov", "05 Nov"} <= set(texts(svg))
    assert "5 checks; the peak lay above its limit." in svg


def test_a_check_out_of_control_has_another_shape_and_not_only_another_colour():
    assert drawn(series()) != drawn(series(frozenset({4})))
    colours = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]+)"', drawn(series(frozenset({4})))))
    assert colours <= {"#000000", "#8c8c8c", "#d4d4d4", "#dcdcdc", "#888", "#fff"}


def test_before_there_are_limits_the_checks_alone_are_drawn():
    assert "upper limit" not in texts(drawn(series(limits=None)))

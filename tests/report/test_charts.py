from __future__ import annotations

import itertools
import re
from dataclasses import replace

import pytest
from pictures import NAMESPACE, tree, words
from sample_forecast import bleed, heat
from sample_plan import sample_plan

from laydown.domain.forecast import BleedForecast, Spread
from laydown.domain.shop import Preferences
from laydown.report.bleed_chart import bleed_chart
from laydown.report.temperature_chart import temperature_chart

METRIC = Preferences()
CURE = sample_plan().prints[0].forecast.cure


def drawn_temperature(prefs: Preferences = METRIC, **changes: float) -> str:
    return temperature_chart(heat(), replace(CURE, **changes), prefs)


CHARTS = {"temperature": drawn_temperature, "bleed": lambda: bleed_chart(bleed())}


@pytest.mark.parametrize("draw", CHARTS.values(), ids=CHARTS)
def test_a_chart_is_the_same_text_every_time(draw):
    assert draw() == draw()


@pytest.mark.parametrize("draw", CHARTS.values(), ids=CHARTS)
def test_a_chart_has_a_title_and_a_description_that_it_is_labelled_by(draw):
    root = tree(draw())
    title, description = root.find(f"{NAMESPACE}title"), root.find(f"{NAMESPACE}desc")

    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {description.get('id')}"
    assert title.text
    assert len(description.text) > 60


@pytest.mark.parametrize("draw", CHARTS.values(), ids=CHARTS)
def test_a_chart_uses_no_colour(draw):
    colours = set(re.findall(r'(?:fill|stroke)="(#[0-9a-fA-F]{3,6}|rgb[^"]*|[a-z]+)"', draw()))

    def is_grey(colour: str) -> bool:
        if colour in {"none", "black", "white", "transparent"}:
            return True
        pairs = re.findall("[0-9a-fA-F]{2}" if len(colour) == 7 else "[0-9a-fA-F]", colour)
        return len(set(pairs)) == 1

    assert colours
    assert all(is_grey(colour) for colour in colours)


@pytest.mark.parametrize("draw", CHARTS.values(), ids=CHARTS)
def test_every_id_starts_with_the_charts_own_name(draw):
    svg = draw()
    identifiers = re.findall(r'\bid="([^"]+)"', svg)

    assert len({identifier.split("-")[0] for identifier in identifiers}) == 1
    assert set(re.findall(r"url\(#([^)]+)\)", svg)) <= set(identifiers)


def curve_dashes(svg: str) -> list[str]:
    """Dash pattern of every curve: paths of more than a few points that are not filled."""
    return [
        path.get("stroke-dasharray", "")
        for path in tree(svg).iter(f"{NAMESPACE}path")
        if path.get("d", "").count("L") > 20 and path.get("fill") in {None, "none"}
    ]


def test_the_three_temperatures_differ_by_their_dashes():
    dashes = curve_dashes(drawn_temperature())

    assert len(dashes) == 3
    assert len(set(dashes)) == 3


def test_the_curves_are_named_with_their_peaks_and_the_rules_with_their_temperatures():
    shown = words(drawn_temperature())

    peak = max(heat().interface) - 273.15
    assert f"film on cloth, peak {peak:.0f}" in shown
    assert {"ink fuses at 160 °C", "cloth bears 180 °C"} <= set(shown)


def test_a_fahrenheit_shop_reads_fahrenheit():
    shown = words(drawn_temperature(Preferences(temperature="F")))

    assert "ink fuses at 320 °F" in shown
    assert not any("°C" in text for text in shown)


def text_places(svg: str) -> list[tuple[str, float, float]]:
    """Texts with their places on the page, all translations added up."""
    found = []

    def walk(element, x, y):
        moved = re.match(r"translate\(([-\d.]+),\s*([-\d.]+)\)", element.get("transform", ""))
        if moved:
            x, y = x + float(moved[1]), y + float(moved[2])
        if element.tag == f"{NAMESPACE}text":
            found.append(("".join(element.itertext()), x, y))
        for child in element:
            walk(child, x, y)

    walk(tree(svg), 0.0, 0.0)
    return found


@pytest.mark.parametrize("limit", [433.2, 436.0, 440.0, 431.0, 453.15])
def test_the_words_on_the_rules_never_touch(limit):
    places = {text: y for text, _, y in text_places(drawn_temperature(cloth_limit=limit))}
    fuses = next(y for text, y in places.items() if text.startswith("ink fuses"))
    bears = next(y for text, y in places.items() if text.startswith("cloth bears"))

    assert abs(fuses - bears) >= 7.0
    assert min(fuses, bears) > 5.0


def test_the_words_on_the_rules_stand_beside_the_plot_where_no_curve_can_cross_them():
    across = {text: x for text, x, _ in text_places(drawn_temperature())}
    curve_ends = [x for text, x in across.items() if "peak" in text]

    assert {x for text, x in across.items() if text.startswith(("ink fuses", "cloth bears"))} == set(curve_ends)


@pytest.mark.parametrize(("draw", "names"), [(CHARTS["temperature"], 5), (CHARTS["bleed"], 3)], ids=CHARTS)
def test_the_names_at_the_ends_never_touch(draw, names):
    heights = sorted(y for text, x, y in text_places(draw()) if x > 240 and not re.match(r"[\d.]+$", text))

    assert len(heights) == names
    assert all(b - a >= 8.0 for a, b in itertools.pairwise(heights))


def test_the_bleed_chart_tells_days_grades_differences_and_the_limit():
    shown = words(bleed_chart(bleed(worst=3.1)))

    assert {"0", "1", "2", "7", "14", "30", "60"} <= set(shown)
    assert {"4", "4-5", "5"} <= set(shown)
    assert {"3.1", "ΔE₀₀", "median", "1 in 10 better", "1 in 10 worse"} <= set(shown)
    assert "grade 4 or better until day 30" in shown


@pytest.mark.parametrize("swapped", [False, True])
def test_the_better_edge_of_the_bleed_band_lies_above_the_median_and_the_worse_below(swapped):
    forecast = bleed(worst=8.0)
    if swapped:  # percentiles in the order of the colour difference: the high grade first
        days = tuple(
            replace(day, grade=Spread(p10=day.grade.p90, p50=day.grade.p50, p90=day.grade.p10)) for day in forecast.days
        )
        forecast = replace(forecast, days=days)
    height = {text: y for text, _, y in text_places(bleed_chart(forecast))}

    assert height["1 in 10 better"] < height["median"] < height["1 in 10 worse"]


def test_a_cloth_without_migrating_dye_says_so_in_place_of_a_band():
    shown = words(bleed_chart(bleed(applies=False)))

    assert "nothing to bleed: no dye that migrates" in shown
    assert "median" not in shown


@pytest.mark.parametrize("worst", [0.0, 3.1, 14.0, 40.0])
def test_the_bleed_curve_stays_inside_its_frame_however_bad_it_is(worst):
    svg = bleed_chart(bleed(worst=worst))
    height = float(tree(svg).get("height"))

    assert all(0 <= y <= height for _, _, y in text_places(svg))
    assert "median" in words(svg)


def test_the_description_of_bleed_gives_every_day():
    predicted: BleedForecast = bleed()
    description = tree(bleed_chart(predicted)).find(f"{NAMESPACE}desc").text

    assert all(f"day {day.day:g}: grade" in description for day in predicted.days)
    assert "Limit: grade 4 on day 30." in description


def test_a_steady_temperature_can_be_drawn():
    flat = replace(
        heat(), times=(0.0, 10.0), film_surface=(300.0, 300.0), interface=(300.0, 300.0), cloth_back=(300.0, 300.0)
    )

    assert "film surface, peak 27" in words(temperature_chart(flat, CURE, METRIC))

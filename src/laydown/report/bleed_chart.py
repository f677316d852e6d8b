"""Bleed over the first sixty days: the grey-scale grade with its band, and the colour difference below it."""

from __future__ import annotations

import math

from laydown.domain.forecast import BleedDay, BleedForecast
from laydown.report.chart_style import BAND, FONT_SIZE, Spec, draw, layer, names_at_end
from laydown.report.display_units import grade, number
from laydown.report.lettering import text_width

_BELOW, _LEFT, _ABOVE = 25.0, 34.0, 5.0
_EDGES = (("high", "1 in 10 better"), ("grade", "median"), ("low", "1 in 10 worse"))


def bleed_chart(bleed: BleedForecast, *, width: float = 330.0, height: float = 120.0) -> str:
    """Draw the staining grade over the days after printing.

    Parameters
    ----------
    bleed : BleedForecast
        At least one day. The median is a line, p10 to p90 a band, the limit a dashed rule up to its day.
    width, height : float
        Size of the whole drawing [pt].

    Returns
    -------
    str
        SVG. Days stand on a square-root scale, on which spreading dye is close to a straight line; under each day
        stands the median colour difference (CIEDE2000).
    """
    days = bleed.days
    last = max(days[-1].day, bleed.limit_day, 1.0)
    lowest = min([_ends(day)[0] for day in days] + [bleed.limit_grade])
    bottom = max(1.0, min(3.0, math.floor(2 * lowest - 0.2) / 2))
    right = max(text_width(words, FONT_SIZE) for _, words in _EDGES) + 12
    plot = height - _BELOW - _ABOVE
    x: Spec = {
        "field": "day",
        "type": "quantitative",
        "scale": {"type": "sqrt", "domain": [0, last], "nice": False},
        "axis": {
            "title": None,
            "grid": False,
            "values": [day.day for day in days],
            "labelFlush": False,
            "labelOverlap": False,
        },
    }
    steps = [bottom + n / 2 for n in range(round(2 * (5 - bottom)) + 1)]
    y: Spec = {
        "field": "grade",
        "type": "quantitative",
        "scale": {"domain": [bottom, 5], "nice": False},
        "axis": {
            "title": None,
            "values": steps,
            "labelExpr": "datum.value % 1 ? floor(datum.value) + '-' + ceil(datum.value) : format(datum.value, 'd')",
        },
    }
    rows = [
        {
            "day": day.day,
            "grade": _cut(day.grade.p50, bottom),
            "low": _cut(_ends(day)[0], bottom),
            "high": _cut(_ends(day)[1], bottom),
            "difference": number(day.difference.p50, 1),
        }
        for day in days
    ]
    layers = [
        layer({"type": "area", "color": BAND}, rows, x=x, y={**y, "field": "low"}, y2={"field": "high"}),
        *(
            layer({"type": "line", "strokeWidth": 0.5, "strokeDash": [1.5, 1.5]}, rows, x=x, y={**y, "field": edge})
            for edge in ("low", "high")
        ),
        *_limit(bleed, x, y),
        layer({"type": "line", "point": {"color": "#000000", "size": 9}}, rows, x=x, y=y),
        layer({"type": "text", "baseline": "top", "y": plot + 15}, rows, x=x, text={"field": "difference"}),
        *_left_words(plot),
        *_beside(bleed, rows[-1], last, _Grades(plot, bottom), x, y),
    ]
    spec: Spec = {
        "width": width - _LEFT - right,
        "height": plot,
        "padding": {"left": _LEFT, "right": right, "top": _ABOVE, "bottom": _BELOW},
        "layer": layers,
    }
    return draw(spec, slug="bleed", title="Bleed after printing", description=_description(bleed))


def _description(bleed: BleedForecast) -> str:
    if not bleed.applies:
        return f"No bleed is to be expected: {bleed.note}."
    told = "; ".join(
        f"day {day.day:g}: grade {grade(day.grade.p50)} ({' to '.join(map(grade, _ends(day)))}), "
        f"colour difference {number(day.difference.p50, 1)}"
        for day in bleed.days
    )
    limit = f"grade {grade(bleed.limit_grade)} on day {bleed.limit_day:g}"
    return f"Staining grade of {bleed.area}, 5 is none. {told}. Limit: {limit}."


def _ends(day: BleedDay) -> tuple[float, float]:
    """Worst and best grade of the middle eight of ten, whichever end the forecast calls p10."""
    low, high = sorted((day.grade.p10, day.grade.p90))
    return low, high


def _cut(value: float, bottom: float) -> float:
    return round(min(max(value, bottom), 5.0), 4)


class _Grades:
    """Turns grades into heights on paper and back."""

    def __init__(self, plot: float, bottom: float) -> None:
        self.plot, self.bottom = plot, bottom

    def y(self, value: float) -> float:
        return self.plot * (5 - value) / (5 - self.bottom)

    def value(self, y: float) -> float:
        return 5 - y / self.plot * (5 - self.bottom)


def _left_words(plot: float) -> list[Spec]:
    """Say what the rows of figures under the chart are."""
    return [
        layer(
            {"type": "text", "align": "right", "baseline": "top", "x": -11, "y": plot + down},
            [{}],
            text={"value": words},
        )
        for words, down in (("day", 5), ("ΔE₀₀", 15))
    ]


def _limit(bleed: BleedForecast, x: Spec, y: Spec) -> list[Spec]:
    """Draw the corner that the print must stay out of: below the grade, before the day."""
    row = [{"day": 0.0, "to": bleed.limit_day, "grade": bleed.limit_grade}]
    words = f"grade {grade(bleed.limit_grade)} or better until day {bleed.limit_day:g}"
    rule: Spec = {"type": "rule", "strokeDash": [7, 2, 1, 2]}
    return [
        layer(rule, row, x=x, x2={"field": "to"}, y=y),
        layer(rule, row, x={**x, "field": "to"}, y=y, y2={"value": "height"}),
        layer(
            {"type": "text", "align": "left", "baseline": "top", "dx": 3, "dy": 3}, row, x=x, y=y, text={"value": words}
        ),
    ]


def _beside(bleed: BleedForecast, row: Spec, last: float, grades: _Grades, x: Spec, y: Spec) -> list[Spec]:
    if not bleed.applies:
        words = [{"day": 0.0, "grade": 5.0}]
        mark: Spec = {"type": "text", "align": "left", "baseline": "top", "dx": 3, "dy": 5}
        return [layer(mark, words, x=x, y=y, text={"value": "nothing to bleed: no dye that migrates"})]
    named = [(words, row[field]) for field, words in _EDGES]
    return names_at_end(named, last, grades.y, grades.value, grades.plot, x, y)

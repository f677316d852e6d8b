"""Probe logs in every form that is allowed, with what they say."""

from dataclasses import dataclass

from hypothesis import strategies as st

DELIMITERS = (";", "\t", ",", "|")
LANES = (("left", "Left"), ("centre", "Centre"), ("right", "Right"))
MISSING = ("", "---", "n/a", "OL", "NaN")


@dataclass(frozen=True)
class Written:
    """A file and what has to be read from it: times, and a row of °C (None: nothing read) a channel."""

    text: str
    times: list
    celsius: list
    coding: str

    @property
    def content(self):
        return self.text.encode(self.coding)


@st.composite
def written_logs(draw):
    """A file in one of the allowed forms."""
    delimiter = draw(st.sampled_from(DELIMITERS))
    comma = delimiter != "," and draw(st.booleans())
    fahrenheit = draw(st.booleans())
    form = draw(st.sampled_from(["seconds", "tenths", "milliseconds", "minutes", "clock", "stopwatch", "date", "half"]))
    headed = draw(st.booleans()) or form in {"milliseconds", "minutes"}
    count = draw(st.integers(1, 3 if headed else 2))
    rows = draw(st.integers(4, 12))
    step = draw(st.sampled_from([1, 2, 5]))
    start = draw(st.integers(0, 86_390)) if form in {"clock", "date"} else draw(st.integers(0, 50))
    if form == "half":
        start = draw(st.integers(0, 86_000))
    times = [start + step * i for i in range(rows)]
    # The first two rows hold a reading of every channel, so that nothing has to be guessed from emptiness.
    base = draw(st.integers(18, 35))
    celsius = [
        [
            base + i * draw(st.integers(1, 9)) + draw(st.integers(0, 9)) / 10
            if i < 2 or draw(st.integers(0, 5))
            else None
            for i in range(rows)
        ]
        for _ in range(count)
    ]
    index = draw(st.booleans()) and headed
    unit = "°F" if fahrenheit else "°C"
    lines = draw(st.lists(st.sampled_from(["# Logger 7", "Serial number 0815", "Operator: nobody", ""]), max_size=3))
    if headed:
        named = [f"{LANES[i][1]} [{unit}]" for i in range(count)]
        time = {"milliseconds": "Time ms", "minutes": "Time min"}.get(form, "Time")
        lines.append(delimiter.join([*(["No."] if index else []), time, *named]))
    elif fahrenheit:
        lines.append("# temperatures in °F")
    else:
        lines.append("# temperatures in °C")
    missing = draw(st.sampled_from(MISSING))
    for i, seconds in enumerate(times):
        cells = [cell(row[i], fahrenheit, comma, missing) for row in celsius]
        line = delimiter.join([*([str(i + 1)] if index else []), moment(seconds, form, comma), *cells])
        if draw(st.booleans()):
            line = line.rstrip(delimiter)
        lines.append(line)
        if i > 3 and not draw(st.integers(0, 6)):
            lines.append(draw(st.sampled_from(["# lid opened", "", "End of log"])))
    coding = draw(st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "cp1252"]))
    ending = draw(st.sampled_from(["\n", "\r\n"]))
    return Written(
        text=ending.join(lines) + ending,
        times=[seconds - start for seconds in times],
        celsius=celsius,
        coding=coding,
    )


def cell(celsius, fahrenheit, comma, missing):
    """Reading as it stands in a file."""
    if celsius is None:
        return missing
    value = celsius * 1.8 + 32 if fahrenheit else celsius
    text = f"{value:.2f}"
    return text.replace(".", ",") if comma else text


def moment(seconds, form, comma):
    """Time as it stands in a file."""
    day, rest = divmod(seconds, 86_400)
    clock = f"{rest // 3600:02d}:{rest // 60 % 60:02d}:{rest % 60:02d}"
    if form == "clock":
        return clock
    if form == "date":
        return f"2026-11-{25 + day:02d} {clock}"
    if form == "half":
        hour = rest // 3600
        return f"{(hour + 11) % 12 + 1}:{rest // 60 % 60:02d}:{rest % 60:02d} {'AM' if hour < 12 else 'PM'}"
    if form == "stopwatch":
        return f"{seconds // 60:02d}:{seconds % 60:02d}.0"
    text = {
        "seconds": str(seconds),
        "tenths": f"{seconds:.1f}",
        "milliseconds": str(1000 * seconds),
        "minutes": f"{seconds / 60:.6f}",
    }[form]
    return text.replace(".", ",") if comma else text

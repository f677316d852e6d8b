"""Orders that nobody wrote, as TOML: most can be planned, some cannot, and some make no sense."""

from __future__ import annotations

from calls import ORDERS
from hypothesis import strategies as st

from laydown.domain.garment import Dye, History, Structure
from laydown.domain.order import HAND_CLASSES
from planned import invented_shop

LABELS = (
    *("100% cotton", "100% polyester", "50% cotton 50% polyester", "tri-blend 50 poly 25 cotton 25 rayon"),
    *("92% nylon 8% elastane", "65/35 poly/cotton", "100% Baumwolle", "80% coton 20% polyester", "100% wool"),
    *("95% viscose 5% spandex", "100% polypropylene", "90% polyamide 10% élasthanne", "60% hemp 40% lyocell"),
)


def quoted(word: str) -> str:
    return f'"{word}"'


@st.composite
def garment(draw: st.DrawFn) -> str:
    if draw(st.booleans()):
        name = draw(st.sampled_from([one.name for one in invented_shop().garments]))
        return f"reference = {quoted(name)}\nhistory = {quoted(draw(st.sampled_from(list(History))))}"
    lines = [
        f"care_label = {quoted(draw(st.sampled_from(LABELS)))}",
        f"structure = {quoted(draw(st.sampled_from(list(Structure))))}",
        f"mass_gsm = {draw(st.integers(60, 600))}",
        f'colour = "#{draw(st.integers(0, 0xFFFFFF)):06x}"',
        f"dye = {quoted(draw(st.sampled_from(list(Dye))))}",
        f"coated = {str(draw(st.booleans())).lower()}",
    ]
    if draw(st.booleans()):
        lines.append(f"stretch_percent = {draw(st.integers(0, 250))}")
    return "\n".join(lines)


@st.composite
def a_print(draw: st.DrawFn, place: str) -> str:
    names = ["white", *(one.name for one in invented_shop().inks), "#c1121f", "#00ff00"]
    inks = draw(st.lists(st.sampled_from(names), min_size=1, max_size=3, unique=True))
    share = draw(st.floats(0.001, 0.99 / len(inks)))
    lines = [
        f"place = {quoted(place)}",
        f"width_mm = {draw(st.integers(20, 520))}",
        f"height_mm = {draw(st.integers(20, 620))}",
        "coverage = { " + ", ".join(f"{quoted(ink)} = {share:.4f}" for ink in inks) + " }",
    ]
    if draw(st.booleans()):
        lines.append(f"finest_mm = {draw(st.floats(0.05, 3)):.3f}")
    if draw(st.booleans()):
        lines.append(f"lpi = {draw(st.integers(20, 85))}")
    return "[[print]]\n" + "\n".join(lines)


@st.composite
def requirements(draw: st.DrawFn) -> str:
    return (
        f"opacity_de = {draw(st.floats(0.5, 40)):.2f}\nbleed_grade = {draw(st.integers(2, 10)) / 2}\n"
        f"bleed_days = {draw(st.floats(0, 60)):.1f}\nrisk = {draw(st.floats(0.002, 0.5)):.3f}\n"
        f"hand = {quoted(draw(st.sampled_from(HAND_CLASSES)))}\nwash = {draw(st.integers(1, 5))}"
    )


@st.composite
def care(draw: st.DrawFn) -> str:
    lines = [f"stack_hot = {str(draw(st.booleans())).lower()}", f"pile_mm = {draw(st.integers(5, 3000))}"]
    if draw(st.booleans()):
        lines.append(f"transit = {{ celsius = {draw(st.integers(-40, 149))}, hours = {draw(st.integers(0, 1440))} }}")
    if draw(st.booleans()):
        lines.append(
            f"tumble_dry = {{ celsius = {draw(st.integers(20, 140))}, minutes = {draw(st.integers(1, 600))}, "
            f"times = {draw(st.integers(1, 100))} }}"
        )
    return "\n".join(lines)


@st.composite
def order_texts(draw: st.DrawFn) -> str:
    prints = [draw(a_print(place)) for place in ("front", "back")[: draw(st.integers(1, 2))]]
    parts = [
        f'[order]\nname = "Any"\nquantity = {draw(st.integers(1, 100_000))}\ndue = 2026-12-24',
        f"[garment]\n{draw(garment())}",
        *prints,
    ]
    if draw(st.booleans()):
        parts.append(f"[requirements]\n{draw(requirements())}")
    if draw(st.booleans()):
        parts.append(f"[care]\n{draw(care())}")
    return "\n".join(parts) + "\n"


@st.composite
def spoiled_texts(draw: st.DrawFn) -> bytes:
    """A shipped order with a few bytes changed."""
    path = draw(st.sampled_from(sorted(ORDERS.glob("*.toml"))))
    content = bytearray(path.read_bytes())
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(content) - 1))
        content[at : at + draw(st.integers(0, 5))] = draw(st.binary(max_size=5))
    return bytes(content)

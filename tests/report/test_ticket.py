from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations

import pypdfium2
import pypdfium2.raw as pdfium
import pytest
from pictures import page_picture, page_text, squeezed, text_runs
from sample_plan import (
    HOSTILE,
    cotton_plan,
    hostile_plan,
    no_stack,
    plan_of,
    sample_plan,
    ten_passes,
    two_prints,
)

from laydown.data.typefaces import font_folder
from laydown.domain.forecast import Spread
from laydown.domain.plan import Plan
from laydown.domain.shop import Preferences
from laydown.report.ticket import ticket_pdf
from laydown.report.ticket_fields import SAFETY, ticket_pages
from laydown.report.ticket_forecast import expected_cells

METRIC = Preferences()
AMERICAN = Preferences(temperature="F", mesh="inch", length="inch", areal_mass="oz", paper="letter")
A4, LETTER = (595.3, 841.9), (612.0, 792.0)


def overfull() -> Plan:
    """Every list and every name as long as it can get."""
    plan = ten_passes()
    printed = plan.prints[0]
    long_passes = tuple(
        replace(p, ink=replace(p.ink, name=f"{n} {p.ink.name} ".ljust(80, "W")[:80]))
        for n, p in enumerate(printed.stack.passes)
    )
    stack = replace(printed.stack, passes=long_passes)
    inks = tuple(
        replace(amount, ink=p.ink.name) for amount, p in zip(printed.production.inks, stack.inked, strict=True)
    )
    wordy = replace(printed, stack=stack, production=replace(printed.production, inks=inks))
    return plan_of(
        replace(plan.order, name="Order " + "name " * 14),
        (wordy,),
        tests=plan.tests * 4,
        cautions=plan.cautions * 4,
        decisive="everything " * 40,
    )


PLANS = {
    "six passes": sample_plan,
    "ten passes": ten_passes,
    "two prints": two_prints,
    "nothing passes": no_stack,
    "cotton": cotton_plan,
    "hostile names": hostile_plan,
    "overfull": overfull,
}
EVERY = pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.slow) if name == "overfull" else name for name in PLANS]
)
QUICK_ON_LETTER = ("ten passes", "nothing passes")
ON_BOTH_PAPERS = pytest.mark.parametrize(
    ("name", "prefs"),
    [
        pytest.param(
            name,
            prefs,
            id=f"{name} on {prefs.paper}",
            marks=[pytest.mark.slow]
            if name == "overfull" or (prefs is AMERICAN and name not in QUICK_ON_LETTER)
            else [],
        )
        for prefs in (METRIC, AMERICAN)
        for name in PLANS
    ],
)


@cache
def ticket(name: str, prefs: Preferences = METRIC) -> bytes:
    return ticket_pdf(PLANS[name](), prefs)


def strings(fields: object) -> Iterator[str]:
    """Words of a page's fields; drawings and colours left out."""
    if isinstance(fields, dict):
        for value in fields.values():
            yield from strings(value)
    elif isinstance(fields, list):
        for value in fields:
            yield from strings(value)
    elif (
        isinstance(fields, str)
        and fields
        and not fields.startswith("<svg")
        and not re.fullmatch("#[0-9a-f]{6}", fields)
    ):
        yield fields


@ON_BOTH_PAPERS
def test_each_print_gets_exactly_one_page_of_the_shops_paper(name, prefs):
    size = A4 if prefs is METRIC else LETTER
    document = pypdfium2.PdfDocument(ticket(name, prefs))

    assert len(document) == len(PLANS[name]().prints)
    assert all(page.get_size() == pytest.approx(size, abs=0.2) for page in document)
    document.close()


@EVERY
def test_every_field_stands_on_its_page(name):
    """Also the names that look like markup: they appear as they were typed, blanks and line breaks aside."""
    pages = ticket_pages(PLANS[name](), METRIC)

    for n, page in enumerate(pages):
        found = squeezed(page_text(ticket(name), n))
        missing = [
            text
            for text in strings({key: value for key, value in page.items() if key != "considered" or page["failed"]})
            # PDF readers give text that runs from right to left in an order of their own.
            if squeezed(text) not in found and not re.search("[\u0590-\u06ff]", text)
        ]
        assert not missing


@ON_BOTH_PAPERS
def test_no_text_lies_over_another_or_off_the_page(name, prefs):
    for page in range(len(PLANS[name]().prints)):
        runs = text_runs(ticket(name, prefs), page)
        width, height = A4 if prefs is METRIC else LETTER

        assert all(r.left > 12 and r.right < width - 12 and r.bottom > 10 and r.top < height - 12 for r in runs)
        over = [
            (a.text, b.text)
            for a, b in combinations(runs, 2)
            if min(a.right, b.right) - max(a.left, b.left) > 0.5
            and min(a.top, b.top) - max(a.bottom, b.bottom) > 0.5 * min(a.top - a.bottom, b.top - b.bottom)
        ]
        assert not over


def test_the_crew_finds_what_it_needs():
    text = page_text(ticket("six passes"))

    for words in (
        "Harbour regatta tees",
        "HR-0412",
        "144 pieces",
        "due Thu 10 Dec 2026",
        "front, 300 × 350 mm",
        "Crew tee, maroon",
        "50 % cotton, 50 % polyester; jersey, 180 g/m²",
        "382 pieces an hour",
        "the press sets the pace; set-up 54 min, run 23 min",
        "General low-bleed white",
        "Signal red + 10 % Stretch additive",
        "smoothing pass, no ink",
        "43/80",
        "60–65",
        "3.0 mm",
        "25–35 N/cm",
        "23 µm",
        "flash 4.5 s",
        "one revolution",
        "350 °C",
        "2.90 m/min",
        "62 s",
        "162–171 °C",
        "ΔE₀₀ 2.1",
        "grade 4-5",
        "+6 °C",
        "medium",
        "2.55 kg",
        "reclaim first",
        "Oven bleed test, read Thu 3 Dec 2026",
        "Judge bleed no sooner than two days after printing.",
        "Screening estimate until the cloth lot passes its own test.",
        "never leave them unattended",
    ):
        assert words in text


def test_an_american_shop_reads_its_own_units():
    text = page_text(ticket("six passes", AMERICAN))

    for words in (
        "662 °F",
        "9.5 ft/min",
        "323–340 °F",
        "110/80",
        "per inch",
        "0.12 in",
        "5.3 oz/yd²",
        "11.8 × 13.8 in",
    ):
        assert words in text
    # The oven test's own wording comes from its source and keeps its unit.
    assert "°C" not in text.replace("keep one half at 52 °C", "")


def test_two_revolutions_are_numbered():
    text = page_text(ticket("ten passes"))

    assert "2 revolutions" in text
    assert "Rev." in text


def test_the_same_white_in_two_passes_is_mixed_once():
    mix = ticket_pages(sample_plan(), METRIC)[0]["mix"]

    assert [m["ink"] for m in mix].count("General low-bleed white") == 1
    assert next(m for m in mix if m["ink"] == "General low-bleed white")["total"] == "2.55 kg"


def test_too_few_screens_are_noticed():
    burn = ticket_pages(ten_passes(), METRIC)[0]["burn"]

    assert [(b["count"], b["state"]) for b in burn] == [
        ("5 ×", "coated"),
        ("1 ×", "ready"),
        ("4 ×", "reclaim first; only 2 in the rack"),
    ]


@pytest.mark.parametrize("name", ["six passes", "hostile names", "nothing passes"])
def test_the_code_reads_as_the_orders_id(name):
    import zxingcpp

    read = zxingcpp.read_barcodes(page_picture(ticket(name)))

    assert [code.text for code in read] == [PLANS[name]().order.identifier]


def test_an_order_without_an_id_is_found_by_its_name():
    import zxingcpp

    plan = sample_plan()
    pdf = ticket_pdf(replace(plan, order=replace(plan.order, identifier="", name="Ünïcode tees 😀")), METRIC)

    assert zxingcpp.read_barcodes(page_picture(pdf))[0].text == "Ünïcode tees 😀"


@pytest.mark.parametrize("name", ["two prints", "nothing passes"])
def test_the_same_plan_gives_the_same_bytes(name):
    pdf = ticket(name)

    assert ticket_pdf(PLANS[name](), METRIC) == pdf
    assert b"CreationDate" not in pdf


def test_hostile_names_appear_as_they_were_typed():
    text = squeezed(page_text(ticket("hostile names")))

    for part in HOSTILE["order"][:80].split():
        assert squeezed(part) in text
    for word in ("#panic(1)", "#import", "'a.typ'", "W" * 24):
        assert word in text
    # A reader may give words that run from right to left in either order.
    for word in ("חולצה", "אדומה", "قميص"):
        assert word in text or word[::-1] in text


def test_marks_that_turn_text_round_are_left_out():
    plan = sample_plan()
    pdf = ticket_pdf(replace(plan, order=replace(plan.order, name="Harbour \u202egattager\u202c\x00 tees\n#x")), METRIC)

    assert "Harbour gattager tees #x" in page_text(pdf)


def test_every_font_is_embedded_and_comes_with_its_licence():
    document = pypdfium2.PdfDocument(ticket("hostile names"))
    embedded = {
        bool(pdfium.FPDFFont_GetIsEmbedded(pdfium.FPDFTextObj_GetFont(item.raw)))
        for item in document[0].get_objects()
        if item.type == pdfium.FPDF_PAGEOBJ_TEXT
    }
    document.close()

    assert embedded == {True}
    assert {file.name for file in font_folder().iterdir()} == {
        "Inter-Regular.otf",
        "Inter-SemiBold.otf",
        "DejaVuSans.ttf",
        "LICENSE-Inter.txt",
        "LICENSE-DejaVu.txt",
    }


def test_a_print_that_nothing_passes_for_says_not_to_print_and_what_would_help():
    text = page_text(ticket("nothing passes"))

    assert "DO NOT PRINT" in text
    assert "grade 3 at the median, 71 % risk of less than 4; 5 % is allowed" in text
    assert "buy a barrier base" in text
    assert "48 weighed" in text
    assert "flash 4.5 s" not in text


def test_the_page_of_a_good_print_warns_when_another_print_of_the_order_has_no_stack():
    good, bad = two_prints(), no_stack()
    failed = replace(bad.prints[0], place="back, between the shoulders")
    pdf = ticket_pdf(replace(good, prints=(good.prints[0], failed)), METRIC)

    assert "Hold this order: nothing on the shelves passes for its back, between the shoulders print." in page_text(pdf)
    assert "Hold this order" not in page_text(pdf, 1)


def test_a_tested_cloth_is_not_called_a_screening_estimate():
    plan = sample_plan()
    forecast = plan.prints[0].forecast
    tested = replace(forecast, bleed=replace(forecast.bleed, screening=False))
    text = page_text(ticket_pdf(replace(plan, prints=(replace(plan.prints[0], forecast=tested),)), METRIC))

    assert "Screening estimate" not in text
    assert "a new lot needs its own test" in text


def test_a_film_that_does_not_cure_is_told_as_short_and_not_as_zero():
    forecast = sample_plan().prints[0].forecast
    short = Spread(p10=-9.0, p50=-4.0, p90=1.0)
    cells = expected_cells(
        replace(forecast, cure=replace(forecast.cure, margin=short, seconds=short, risk=0.9)), METRIC
    )
    cure = next(cell for cell in cells if cell["name"] == "Cure margin")

    assert cure["value"] == "−4 °C"
    assert cure["more"] == "below 160 °C, 4.0 s shorter than asked; risk 90 %"


@EVERY
def test_the_safety_line_stands_on_every_page(name):
    for page in range(len(PLANS[name]().prints)):
        assert squeezed(SAFETY) in squeezed(page_text(ticket(name), page))

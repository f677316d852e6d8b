"""Labels: the code is read back, everything stands on them, 24 on a sheet."""

import pytest

from laydown.errors import InvalidInput
from laydown.report.labels import SHEETS, SMALL, Label, labels_pdf, sheet_named


def label(number=1, **changes):
    words = {
        "number": str(number),
        "test": "Oven bleed test",
        "cloth": "Spinnaker polyester tee red",
        "lot": "L-2211",
        "stack": "Bulwark Polyester White through 43/80, 2 hits · flash · Bulwark Polyester White through 43/80",
        "read": "Read Nov 28, 08:00 · Nov 30, 07:00 · Dec 12, 16:00",
        "address": f"http://192.168.100.200:8300/lab/read/{number}",
    }
    return Label(**(words | changes))


def pages(pdf):
    import pypdfium2

    return pypdfium2.PdfDocument(pdf)


@pytest.mark.parametrize("name", ["a4", "letter", *(f"{w:g}x{h:g}" for w, h in SMALL)])
def test_every_code_of_a_label_is_read_back_as_its_address(name):
    import zxingcpp

    sheet = sheet_named(name)
    many = [label(number) for number in range(1, sheet.each + 2)]
    document = pages(labels_pdf(many, sheet))
    assert len(document) == 2
    # What a printer of 203 dots an inch, the coarsest that prints labels, puts on paper.
    seen = {one.text for one in zxingcpp.read_barcodes(document[0].render(scale=203 / 72).to_pil().convert("L"))}
    assert seen == {one.address for one in many[: sheet.each]}


def test_number_test_cloth_lot_stack_and_time_stand_on_a_label():
    text = pages(labels_pdf([label(417)], sheet_named("a4")))[0].get_textpage().get_text_bounded()
    flat = " ".join(text.replace("\u200b", "").split())

    for words in ("417", "Oven bleed test", "Spinnaker polyester tee red", "L-2211", "2 hits", "Read Nov 28, 08:00"):
        assert words in flat


def test_sheets_hold_24_labels_within_the_paper():
    for sheet in SHEETS:
        assert sheet.each == 24
        assert sheet.left + sheet.columns * sheet.width + (sheet.columns - 1) * sheet.gutter <= sheet.paper[0] + 1e-9
        assert sheet.top + sheet.rows * sheet.height <= sheet.paper[1] + 1e-9


def test_used_up_places_of_a_sheet_stay_empty():
    import zxingcpp

    document = pages(labels_pdf([label(1), label(2)], sheet_named("a4"), first=24))
    assert [len(zxingcpp.read_barcodes(page.render(scale=3).to_pil())) for page in document] == [1, 1]


def test_the_same_labels_are_the_same_bytes_and_odd_names_stay_words():
    odd = label(cloth='#set page(width: 1mm)\n"; <b>', lot="日本 \u202ex", stack="")
    assert labels_pdf([odd], sheet_named("50x30")) == labels_pdf([odd], sheet_named("50x30"))


@pytest.mark.parametrize("name", ["a5", "50", "50x", "5x5", "900x50", "nanx30", "50x30x20"])
def test_a_size_that_no_label_has_is_told(name):
    with pytest.raises(InvalidInput, match="label"):
        sheet_named(name)


@pytest.mark.parametrize(("count", "first"), [(0, 1), (241, 1), (1, 0), (1, 25)])
def test_too_few_or_many_labels_and_places_off_the_sheet_are_told(count, first):
    with pytest.raises(InvalidInput, match="allowed"):
        labels_pdf([label(n) for n in range(count)], sheet_named("a4"), first=first)

"""Every mistake in an order file is told in one sentence: file, key, what is wrong, what would be allowed."""

import pytest
from order_texts import GOOD, spoiled

from laydown.documents.order_file import order_from_text, read_order
from laydown.documents.shop_folder import read_shop
from laydown.documents.template import copy_template
from laydown.errors import InvalidInput, LaydownError, NotFound


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    folder = tmp_path_factory.mktemp("shop") / "demo"
    copy_template(folder)
    return read_shop(folder)


def test_the_good_order_is_read(shop):
    order = order_from_text(GOOD, shop, "o.toml")

    assert (order.quantity, order.garment.areal_mass.value, len(order.prints)) == (144, 0.18, 2)
    assert order.prints[0].width == 0.3
    assert order.care.transit is not None
    assert (order.care.transit.temperature, order.care.transit.duration) == (323.15, 86400)
    assert order.garment.stretch is not None
    assert order.garment.stretch.value == 0.25


CASES = [
    # unknown and misspelt keys
    (
        "quantity = 144",
        "quantity = 144\nqantity = 1",
        "o.toml, order.qantity: this key is unknown; did you mean 'quantity'? allowed are name, quantity, due",
    ),
    ("[care]\n", "[care]\nhot = true\n", "o.toml, care.hot: this key is unknown; allowed are stack_hot"),
    (
        "[requirements]",
        "[demands]",
        "o.toml, demands: this key is unknown; allowed are order, garment, print, requirements, care",
    ),
    ("width_mm = 300", "width_cm = 30", "o.toml, print[1].width_cm: this key is unknown; did you mean 'width_mm'?"),
    ("mass_gsm = 180", "mass = 180", "o.toml, garment.mass: this key is unknown; did you mean 'mass_gsm'?"),
    ("transit = { celsius", "transit = { kelvin = 1, celsius", "o.toml, care.transit.kelvin: this key is unknown"),
    # two units, or none
    (
        "mass_gsm = 180",
        "mass_gsm = 180\nmass_oz_yd2 = 5.3",
        "o.toml, garment: mass_gsm and mass_oz_yd2 say the same thing in two units; give only one",
    ),
    (
        "width_mm = 300",
        "width_mm = 300\nwidth_in = 12",
        "o.toml, print[1]: width_mm and width_in say the same thing in two units",
    ),
    ("width_mm = 300\n", "", "o.toml, print[1]: width_mm or width_in is missing; exactly one of them is needed"),
    ("mass_gsm = 180\n", "", "o.toml, garment: mass_gsm (or mass_oz_yd2) is missing"),
    ("celsius = 50, ", "", "o.toml, care.transit: celsius or fahrenheit is missing"),
    (", hours = 24", "", "o.toml, care.transit: hours or minutes or days is missing"),
    # missing keys
    ('name = "Harbour regatta tees"\n', "", "o.toml, order.name: this key is missing: what the order is called"),
    ("due = 2026-12-10\n", "", "o.toml, order.due: this key is missing"),
    ('structure = "jersey"\n', "", "o.toml, garment: structure is missing; allowed are jersey, interlock"),
    ('care_label = "50% cotton 50% polyester"\n', "", "o.toml, garment: care_label is missing"),
    ('colour = "#8c1d2f"\n', "", "o.toml, garment: the colour is missing; give colour, lab or spectrum"),
    (
        "coverage = 0.42\n",
        "",
        "o.toml, print[1].coverage: the inked share of the rectangle is needed: a number from 0 to 1",
    ),
    # wrong types
    ("quantity = 144", 'quantity = "144"', "o.toml, order.quantity: '144' does not fit; a whole number is needed"),
    ("quantity = 144", "quantity = 144.5", "o.toml, order.quantity: 144.5 does not fit; a whole number is needed"),
    ("quantity = 144", "quantity = true", "o.toml, order.quantity: true does not fit; a whole number is needed"),
    ("width_mm = 300", 'width_mm = "300"', "o.toml, print[1].width_mm: '300' does not fit; a number is needed"),
    ("stack_hot = true", "stack_hot = 1", "o.toml, care.stack_hot: 1 does not fit; true or false is needed"),
    ("mass_gsm = 180", 'mass_gsm = "180"', "o.toml, garment.mass_gsm: '180' is neither a number nor a table such as"),
    (
        "mass_gsm = 180",
        "mass_gsm = { val = 180 }",
        "o.toml, garment.mass_gsm.val: this key is unknown; did you mean 'value'?",
    ),
    (
        "mass_gsm = 180",
        'mass_gsm = { value = "x" }',
        "o.toml, garment.mass_gsm.value: 'x' does not fit; a number is needed",
    ),
    ('name = "Harbour regatta tees"', "name = 7", "o.toml, order.name: 7 does not fit; a text in quotes is needed"),
    (
        'inks = ["white"]',
        'inks = "white"',
        "o.toml, print[1].inks: 'white' does not fit; a list in square brackets is needed",
    ),
    (
        "coverage = 0.42",
        'coverage = "0.42"',
        "o.toml, print[1].coverage: '0.42' does not fit; a number from 0 to 1 is needed",
    ),
    (
        "coverage = { white = 0.2",
        'coverage = { white = "a lot"',
        "o.toml, print[2].coverage: the share of 'white' is 'a lot'; a number from 0 to 1 is needed",
    ),
    ("[order]", "[[order]]", "o.toml, order: a list does not fit; a table is needed"),
    ("[requirements]", "[[requirements]]", "o.toml, requirements: a list does not fit; a table is needed"),
    # NaN, infinity, huge, negative, out of range
    (
        "width_mm = 300",
        "width_mm = nan",
        "o.toml, print[1].width_mm: nan is no finite number; a finite number is needed",
    ),
    ("height_mm = 350", "height_mm = inf", "o.toml, print[1].height_mm: inf is no finite number"),
    ("mass_gsm = 180", "mass_gsm = nan", "o.toml, garment.mass_gsm.value: nan is no finite number"),
    ("mass_gsm = 180", "mass_gsm = -inf", "o.toml, garment.mass_gsm.value: -inf is no finite number"),
    ("coverage = 0.42", "coverage = nan", "o.toml, print[1].coverage: nan does not fit; a number from 0 to 1"),
    ("width_mm = 300", "width_mm = -300", "o.toml, print[1].width_mm: -300 mm is not allowed; allowed is 5 to 2000 mm"),
    ("width_mm = 300", "width_mm = 1e9", "o.toml, print[1].width_mm: 1e+09 mm is not allowed; allowed is 5 to 2000 mm"),
    ("width_mm = 300", f"width_mm = {10**500}", "o.toml, print[1].width_mm"),
    ("quantity = 144", "quantity = 0", "o.toml, order.quantity: 0 is not allowed; allowed is 1 to 1e+06"),
    ("quantity = 144", f"quantity = {10**4000}", "is not allowed; allowed is 1 to 1e+06"),
    ("quantity = 144", f"quantity = {'9' * 5000}", "o.toml: a number in this text has more digits than can be read"),
    (
        "mass_gsm = 180",
        "mass_gsm = 1800",
        "o.toml, garment.mass_gsm: 1800 g/m² is not allowed; allowed is 20 to 1000 g/m²",
    ),
    (
        "mass_gsm = 180",
        "mass_oz_yd2 = 180",
        "o.toml, garment.mass_oz_yd2: 180 oz/yd² is not allowed; allowed is 0.6 to 29.4 oz/yd²",
    ),
    (
        "mass_gsm = 180",
        "mass_gsm = { value = 180, pm = 170 }",
        "garment.mass_gsm: 180 minus 170 is 10 g/m², which is not allowed; allowed is 20 to 1000 g/m²",
    ),
    (
        "coverage = 0.42",
        "coverage = 42",
        "o.toml, print[1].coverage: the coverage of 'white' is 42; allowed is above 0 and up to 1",
    ),
    ("coverage = 0.42", "coverage = 0", "o.toml, print[1].coverage: the coverage of 'white' is 0; allowed is above 0"),
    ("celsius = 50", "celsius = 500", "o.toml, care.transit.celsius: 500 °C is not allowed; allowed is -40 to 149 °C"),
    (
        "bleed_grade = 4",
        "bleed_grade = 4.2",
        "o.toml, requirements: bleed_grade is 4.2; grades go in half steps from 1 to 5",
    ),
    ("bleed_grade = 4", "bleed_grade = 6", "o.toml, requirements.bleed_grade: 6 is not allowed; allowed is 1 to 5"),
    (
        "bleed_days = 30",
        "bleed_days = 90",
        "o.toml, requirements.bleed_days: 90 days is not allowed; allowed is 0 to 60 days",
    ),
    ("bleed_days = 30", "risk = 5", "o.toml, requirements.risk: 5 is not allowed; allowed is 0.001 to 0.5"),
    (
        "bleed_days = 30",
        'hand = "fluffy"',
        "o.toml, requirements.hand: 'fluffy' is unknown; allowed are very soft, soft, medium, firm, heavy",
    ),
    # quantities that contradict themselves
    (
        "mass_gsm = 180",
        "mass_gsm = { value = 180, low = 190, high = 200 }",
        "garment.mass_gsm: the value 180 lies outside its own interval 190 to 200",
    ),
    ("mass_gsm = 180", "mass_gsm = { value = 180, low = 170 }", "garment.mass_gsm: low and high are given together"),
    ("mass_gsm = 180", "mass_gsm = { value = 180, low = 170, high = 190, pm = 5 }", "garment.mass_gsm: give either pm"),
    (
        "mass_gsm = 180",
        "mass_gsm = { value = 180, pm = -5 }",
        "garment.mass_gsm.pm: -5 is not allowed; allowed is at least 0",
    ),
    (
        "mass_gsm = 180",
        'mass_gsm = { value = 180, grade = "hearsay" }',
        "garment.mass_gsm.grade: 'hearsay' is unknown; allowed are measured here, published, maker's sheet",
    ),
    (
        "mass_gsm = 180",
        'mass_gsm = { value = 180, source = "" }',
        "garment.mass_gsm.source: 0 characters; allowed are at least 1",
    ),
    # words
    (
        'structure = "jersey"',
        'structure = "jersy"',
        "o.toml, garment.structure: 'jersy' is unknown; did you mean 'jersey'? allowed are jersey, interlock, rib",
    ),
    ('dye = "disperse, medium energy"', 'dye = "disperse"', "o.toml, garment.dye: 'disperse' is unknown"),
    (
        'care_label = "50% cotton 50% polyester"',
        'care_label = "50% cotton 40% polyester"',
        "o.toml, garment.care_label: the care label '50% cotton 40% polyester' cannot be read: the shares add up to",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        "fibres = { cotton = 50, polyester = 40 }",
        "o.toml, garment.fibres: the fibre shares add up to 90 %; they must add up to 100 %",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        "fibres = { cotton = 50, plastic = 50 }",
        "o.toml, garment.fibres: 'plastic' is no generic fibre name; allowed are cotton, polyester",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        "fibres = { cotton = -50, polyester = 150 }",
        "o.toml, garment.fibres: the share of cotton is -50 %; it must be above 0 %",
    ),
    (
        'care_label = "50% cotton 50% polyester"',
        'care_label = "100% cotton"\nfibres = { cotton = 100 }',
        "o.toml, garment: care_label and fibres both give the fibre content",
    ),
    # colours
    ('colour = "#8c1d2f"', 'colour = "red"', "o.toml, garment: 'red' is no sRGB colour; write it as '#rrggbb'"),
    (
        'colour = "#8c1d2f"',
        'colour = "#8c1d2f"\nlab = [30, 50, 20]',
        "o.toml, garment: colour and lab both give the colour",
    ),
    ('colour = "#8c1d2f"', "lab = [30, 50]", "o.toml, garment.lab: 2 entries; allowed are at least 3"),
    ('colour = "#8c1d2f"', "lab = [30, 50, nan]", "o.toml, garment.lab[3]: nan is no finite number"),
    (
        'colour = "#8c1d2f"',
        "lab = [130, 0, 0]",
        "o.toml, garment: Lab [130.0, 0.0, 0.0] is no surface colour; L* lies in 0..100",
    ),
    (
        'colour = "#8c1d2f"',
        "lab = [95, 100, 100]",
        "o.toml, garment: Lab 95, 100, 100 under D65/10 is a colour that no surface can have",
    ),
    (
        'colour = "#8c1d2f"',
        "lab = [5, -60, 60]\nlab_condition = 'D50/2'",
        "Lab 5, -60, 60 under D50/2 is a colour that no surface can have",
    ),
    (
        'colour = "#8c1d2f"',
        "lab = [50, 20, 10]\nlab_condition = 'D75/10'",
        "garment.lab_condition: 'D75/10' is unknown; did you mean 'D65/10'?",
    ),
    (
        'colour = "#8c1d2f"',
        'colour = "#8c1d2f"\nlab_condition = "D65/10"',
        "garment: lab_condition says what lab refers to, but there is no lab",
    ),
    (
        'colour = "#8c1d2f"',
        "spectrum = [0.1, 0.2]",
        "garment.spectrum: a spectrum has 36 numbers from 0 to 1, for 380 to 730 nm",
    ),
    (
        'colour = "#8c1d2f"',
        f"spectrum = [{', '.join(['1.5'] * 36)}]",
        "garment.spectrum: a spectrum has 36 numbers from 0 to 1",
    ),
    (
        'colour = "#8c1d2f"',
        f"spectrum = [{', '.join(['nan'] * 36)}]",
        "garment.spectrum: a spectrum has 36 numbers from 0 to 1",
    ),
    (
        'colour = "#8c1d2f"',
        "spectrum = 7",
        "garment.spectrum: 7 does not fit; a list of 36 numbers or the name of a file",
    ),
    (
        'colour = "#8c1d2f"',
        'spectrum = "red.csv"',
        "garment.spectrum: 'red.csv' names a file, but this text does not come from a folder",
    ),
    # inks, coverage, artwork
    ('inks = ["white"]', "inks = []", "o.toml, print[1].inks: 0 entries; allowed are at least 1"),
    (
        'inks = ["white"]',
        'inks = ["Beacn Red"]',
        "o.toml, print[1].inks: there is no ink named 'Beacn Red'; on the shelf: 'white', '#rrggbb'",
    ),
    (
        'inks = ["white"]',
        'inks = ["white", "white"]',
        "o.toml, print[1].coverage: one number cannot be shared out among 2 inks",
    ),
    ('inks = ["white"]\n', "", "o.toml, print[1].coverage: inks are missing beside a coverage that is one number"),
    (
        '{ white = 0.2, "Beacon Red" = 0.1 }',
        "{ white = 0.2 }",
        "o.toml, print[2].coverage: the table names white, but inks are white, Beacon Red",
    ),
    (
        '{ white = 0.2, "Beacon Red" = 0.1 }',
        '{ white = 0.9, "Beacon Red" = 0.8 }',
        "o.toml, print[2] (back): the inks of the back print cover 170% of its rectangle; at most 100 %",
    ),
    (
        "coverage = 0.42",
        'coverage = 0.42\nartwork = "art.png"',
        "o.toml, print[1].artwork: 'art.png' names a file, but this text does not come from a folder",
    ),
    ('place = "back"', 'place = "front"', "o.toml: two prints share a place: front, front"),
    # dates
    ("due = 2026-12-10", "due = 2026-02-30", "o.toml, line 4, column 7: this is not TOML: invalid date or datetime"),
    (
        "due = 2026-12-10",
        'due = "2026-02-30"',
        "o.toml, order.due: '2026-02-30' is no date; a date is year-month-day, for example 2026-12-10",
    ),
    ("due = 2026-12-10", 'due = "next week"', "o.toml, order.due: 'next week' is no date"),
    ("due = 2026-12-10", "due = 2026-12-10T12:00:00", "o.toml, order.due: 2026-12-10T12:00:00 has a time of day"),
    ("due = 2026-12-10", "due = 12:00:00", "o.toml, order.due: 12:00:00 does not fit"),
    (
        "due = 2026-12-10",
        "due = 20261210",
        "o.toml, order.due: 20261210 does not fit; a date such as 2026-12-10 is needed",
    ),
    (
        "due = 2026-12-10",
        "due = 1926-12-10",
        "o.toml, order.due: 1926-12-10 is not allowed; allowed is 2000-01-01 to 2100-01-01",
    ),
    (
        "due = 2026-12-10",
        "due = 2026-12-10\nplaced = 2027-01-01",
        "o.toml, order.placed: the order is due on 2026-12-10, before it was placed",
    ),
    # garments by reference
    (
        "[garment]\n",
        '[garment]\nreference = "Quayside tee"\n',
        "o.toml, garment.reference: there is no garment named 'Quayside tee'; on the shelf: 'Quayside tee black'",
    ),
    (
        "[garment]\n",
        "[garment]\nreference = 5\n",
        "o.toml, garment.reference: 5 does not fit; a text in quotes is needed",
    ),
    # TOML itself
    ("[order]", "[order", "o.toml, line 1, column 7: this is not TOML: expected ']' at the end of a table declaration"),
    (
        "quantity = 144",
        "quantity = 144\nquantity = 145",
        "o.toml, line 4, column 15: this is not TOML: cannot overwrite a value",
    ),
    ("stack_hot = true", "stack_hot = yes", "o.toml, line 33, column 13: this is not TOML: invalid value"),
    ("hours = 24 }\n", "hours = 24", "o.toml, at its end: this is not TOML"),
    (
        "quantity = 144",
        "quantity = " + "[" * 2000,
        "o.toml: the brackets of this text are nested too deeply to be read",
    ),
    (
        'name = "Harbour regatta tees"',
        'name = "a\ud800b"',
        "o.toml: character 18 of the text is no character of Unicode",
    ),
    # too long
    (
        'name = "Harbour regatta tees"',
        f'name = "{"x" * 81}"',
        "o.toml, order.name: 81 characters; allowed are at most 80",
    ),
    ('name = "Harbour regatta tees"', 'name = "  "', "o.toml: an order needs a name"),
]


@pytest.mark.parametrize(("old", "new", "sentence"), CASES, ids=[new[:40].replace("\n", " ") for _, new, _ in CASES])
def test_a_mistake_is_told_in_one_sentence(shop, old, new, sentence):
    with pytest.raises(LaydownError) as caught:
        order_from_text(spoiled(old, new), shop, "o.toml")

    told = str(caught.value)
    assert sentence in told
    assert "\n" not in told
    assert len(told) < 1500


def test_an_empty_file_says_what_is_missing_first_and_how_much_more(shop):
    with pytest.raises(InvalidInput, match=r"^o.toml, order: this key is missing: the order itself \(and 2 more\)$"):
        order_from_text("", shop, "o.toml")


def test_several_mistakes_are_counted(shop):
    text = spoiled("quantity = 144", 'quantity = "x"').replace("height_mm = 350", 'height_mm = "y"')
    with pytest.raises(
        InvalidInput, match=r"order.quantity: 'x' does not fit; a whole number is needed \(and 1 more\)"
    ):
        order_from_text(text, shop, "o.toml")


def test_an_order_without_prints_says_so(shop):
    head, _, _ = GOOD.partition("[[print]]")
    with pytest.raises(InvalidInput, match=r"o.toml, print: this key is missing"):
        order_from_text(head, shop, "o.toml")


def test_a_print_that_is_a_table_says_how_prints_are_written(shop):
    head, _, _ = GOOD.partition("[[print]]")
    with pytest.raises(
        InvalidInput, match=r"print: a table does not fit; blocks that begin with \[\[print\]\] are needed"
    ):
        order_from_text(head + "[print]\nplace = 'front'", shop, "o.toml")


def test_a_missing_ink_is_not_found_and_a_missing_garment_too(shop):
    with pytest.raises(NotFound):
        order_from_text(spoiled('inks = ["white"]', 'inks = ["Fog"]'), shop, "o.toml")
    with pytest.raises(NotFound):
        order_from_text(spoiled("[garment]\n", '[garment]\nreference = "Fog"\n'), shop, "o.toml")


# --- the file ----------------------------------------------------------------------------------------------------


def read_bytes(tmp_path, content, shop):
    path = tmp_path / "o.toml"
    path.write_bytes(content)
    return read_order(path, shop)


def test_text_that_is_not_utf_8_is_refused_with_line_and_byte(tmp_path, shop):
    content = GOOD.replace("Harbour", "Häfen").encode("latin-1")
    with pytest.raises(
        InvalidInput, match=r"o.toml, line 2: the text is not UTF-8 \(byte 17 of the file is 0xe4\); save it"
    ):
        read_bytes(tmp_path, content, shop)


def test_a_byte_order_mark_is_passed_over(tmp_path, shop):
    assert read_bytes(tmp_path, b"\xef\xbb\xbf" + GOOD.encode(), shop).quantity == 144


def test_utf_8_behind_a_byte_order_mark_is_counted_from_the_files_beginning(tmp_path, shop):
    with pytest.raises(InvalidInput, match=r"line 1: the text is not UTF-8 \(byte 5 of the file is 0xff\)"):
        read_bytes(tmp_path, b"\xef\xbb\xbf# \xff", shop)


def test_a_missing_file_says_so(tmp_path, shop):
    with pytest.raises(InvalidInput, match=r"gone.toml: there is no such file; it is for the order"):
        read_order(tmp_path / "gone.toml", shop)


def test_a_folder_is_no_file(tmp_path, shop):
    with pytest.raises(InvalidInput, match="this is a folder, but a file is needed"):
        read_order(tmp_path, shop)


def test_a_huge_file_is_refused_before_it_is_read_as_toml(tmp_path, shop):
    with pytest.raises(InvalidInput, match="the file is larger than 5 MB"):
        read_bytes(tmp_path, b"#" * 5_000_001, shop)


def test_a_file_name_that_no_system_has_is_refused(tmp_path, shop):
    for name in ("o\x00.toml", "x" * 5000):
        with pytest.raises(InvalidInput, match=r"cannot be read|no such file"):
            read_order(tmp_path / name, shop)


def with_art(tmp_path, name, shop):
    (tmp_path / "o.toml").write_text(
        spoiled("coverage = 0.42", f"coverage = 0.42\nartwork = {name!r}"), encoding="utf-8"
    )
    return read_order(tmp_path / "o.toml", shop)


def test_artwork_lies_beside_the_order_or_below(tmp_path, shop):
    (tmp_path / "art").mkdir()
    (tmp_path / "art" / "front.png").write_bytes(b"")

    assert with_art(tmp_path, "art/front.png", shop).prints[0].artwork == "art/front.png"


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("front.png", r"print\[1\].artwork: there is no file 'front.png' in the folder"),
        ("../front.png", "'../front.png' is not allowed; name a file in the same folder or below"),
        ("/etc/hostname", "is not allowed; name a file in the same folder or below"),
        ("C:\\art\\front.png", "is not allowed; name a file in the same folder or below"),
        (" ", "is not allowed; name a file in the same folder or below"),
    ],
)
def test_artwork_elsewhere_is_refused(tmp_path, shop, name, sentence):
    with pytest.raises(InvalidInput, match=sentence):
        with_art(tmp_path, name, shop)


def test_artwork_behind_a_link_out_of_the_folder_is_refused(tmp_path, shop):
    (tmp_path / "inside").mkdir()
    (tmp_path / "secret.png").write_bytes(b"")
    (tmp_path / "inside" / "front.png").symlink_to(tmp_path / "secret.png")
    with pytest.raises(InvalidInput, match=r"'front.png' is a link out of its folder"):
        with_art(tmp_path / "inside", "front.png", shop)


def test_artwork_without_coverage_asks_for_the_coverage(tmp_path, shop):
    (tmp_path / "front.png").write_bytes(b"")
    (tmp_path / "o.toml").write_text(spoiled("coverage = 0.42", 'artwork = "front.png"'), encoding="utf-8")
    with pytest.raises(
        InvalidInput, match=r"print\[1\].coverage: the inked share of the rectangle is needed beside the artwork"
    ):
        read_order(tmp_path / "o.toml", shop)

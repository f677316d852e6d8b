"""Every mistake in an order file is told in one sentence: file, key, what is wrong, what would be allowed."""

import pytest
from order_mistakes import CASES
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


@pytest.mark.parametrize(("old", "new", "sentence"), CASES, ids=[new[:40].replace("\n", " ") for _, new, _ in CASES])
def test_a_mistake_is_told_in_one_sentence(shop, old, new, sentence):
    with pytest.raises(LaydownError) as caught:
        order_from_text(spoiled(old, new), shop, "o.toml")

    told = str(caught.value)
    assert sentence in told
    assert "\n" not in told
    assert len(told) < 1500


def test_an_empty_file_says_what_is_missing_first_and_how_much_more(shop):
    with pytest.raises(
        InvalidInput, match=r"^o.toml, order: this key is missing: the order itself; 2 more mistakes after this one$"
    ):
        order_from_text("", shop, "o.toml")


def test_several_mistakes_are_counted(shop):
    text = spoiled("quantity = 144", 'quantity = "x"').replace("height_mm = 350", 'height_mm = "y"')
    with pytest.raises(
        InvalidInput, match=r"order.quantity: 'x' does not fit; a whole number is needed; 1 more mistake after this one"
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


def test_an_unknown_key_with_a_dash_or_bracket_is_named(tmp_path, shop):
    (tmp_path / "o.toml").write_text('fusion-c = 3\n"a[1]" = 2\n' + spoiled("", ""), encoding="utf-8")

    with pytest.raises(InvalidInput, match=r"(fusion-c|a\[1\]): this key is unknown; allowed are order"):
        read_order(tmp_path / "o.toml", shop)

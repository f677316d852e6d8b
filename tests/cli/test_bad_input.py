"""Whatever a user gets wrong: exit status 2, one sentence with place and remedy, and nothing is written."""

import os

import pytest
from calls import COTTON, ORDERS, call, call_process, files_under, is_one_sentence, new_shop

ORDER = (ORDERS / "03-harbour-regatta-tees.toml").read_text(encoding="utf-8")

# What is replaced in the order, what by, and what the sentence has to say.
ORDER_MISTAKES = [
    ("quantity = 144", "qantity = 144", ("order.", "did you mean 'quantity'")),
    ("quantity = 144", "quantity = -3", ("order.quantity", "-3", "allowed is 1 to")),
    ("quantity = 144", "quantity = 99999999999999999999999", ("order.quantity", "allowed is 1 to")),
    ("quantity = 144", "quantity = nan", ("order.quantity", "nan")),
    ("quantity = 144", 'quantity = "many"', ("order.quantity", "whole number")),
    ("width_mm = 300", "width_mm = inf", ("print[1].width_mm", "finite")),
    ("width_mm = 300", "width_mm = 1e9", ("print[1].width_mm", "5 to 2000")),
    ("width_mm = 300", "width_cm = 30", ("print[1].width_cm", "width_mm")),
    ("due = 2026-12-10", "due = 2026-13-10", ("order.toml",)),
    ("coverage = 0.42", "coverage = 1.42", ("print[1]", "1.42")),
    ("coverage = 0.42", "coverage = 0.42\nartwork = 'gone.png'", ("print[1].artwork", "gone.png")),
    ('inks = ["white"]', 'inks = ["Whyte"]', ("print[1].inks", "Whyte", "Chalk Cotton White")),
    ('inks = ["white"]', "inks = []", ("print[1].inks",)),
    ('inks = ["white"]', 'inks = ["Peat Barrier Base"]', ("order.toml, print 'front'", "is a barrier")),
    ("[order]", "[order", ("order.toml", "line")),
    ("[order]", "[ordre]", ("ordre", "order")),
]

GARMENT_MISTAKES = [
    ('care_label = "50% cotton 40% polyester"', ("garment", "90", "100")),
    ('care_label = "50% moonbeam 50% polyester"', ("garment", "moonbeam")),
    ('care_label = "100% cotton"\ncolour = "#12345"', ("garment", "#12345", "#rrggbb")),
    ('care_label = "100% cotton"\ncolour = "#gggggg"', ("garment", "#gggggg", "#rrggbb")),
    ('care_label = "100% cotton"\nlab = [50, 400, 0]', ("garment", "Lab", "-150..150")),
    ('care_label = "100% cotton"\nlab = [50, 120, -120]', ("garment", "Lab 50, 120, -120")),
    ('care_label = "100% cotton"\ndye = "magic"', ("garment.dye", "magic", "reactive")),
    ('care_label = "100% cotton"\nmass_gsm = "heavy"', ("garment.mass_gsm", "heavy")),
    ('care_label = "100% cotton"\nmass_gsm = 180\nmass_oz_yd2 = 5', ("mass_gsm", "mass_oz_yd2")),
    ('reference = "No such tee"', ("garment.reference", "No such tee", "Quayside tee black")),
]


def garment_order(garment: str) -> str:
    keys = [line.split("=")[0].strip() for line in garment.splitlines()]
    usual = {"structure": '"jersey"', "mass_gsm": "180", "colour": '"#8c1d2f"', "dye": '"reactive"'}
    if "reference" in keys:
        usual = {}
    if "lab" in keys:
        del usual["colour"]
    lines = [f"{key} = {value}" for key, value in usual.items() if key not in keys]
    return "\n".join(
        (
            '[order]\nname = "A"\nquantity = 10\ndue = 2026-12-10\n[garment]',
            garment,
            *lines,
            '[[print]]\nplace = "front"\nwidth_mm = 300\nheight_mm = 300\ninks = ["white"]\ncoverage = 0.3\n',
        )
    )


def refused(tmp_path, *arguments, words):
    before = files_under(tmp_path)
    called = call(*arguments)
    assert (called.status, called.out) == (2, ""), called.err
    assert is_one_sentence(called.err), called.err
    for word in words:
        assert word in called.err
    assert files_under(tmp_path) == before


@pytest.mark.parametrize(("old", "new", "words"), ORDER_MISTAKES)
def test_a_mistake_in_an_order_is_told_and_nothing_is_written(tmp_path, old, new, words):
    assert old in ORDER
    order = tmp_path / "order.toml"
    order.write_text(ORDER.replace(old, new, 1), encoding="utf-8")

    refused(tmp_path, "plan", str(order), "--ticket", str(tmp_path / "t.pdf"), words=("order.toml", *words))


@pytest.mark.parametrize(("garment", "words"), GARMENT_MISTAKES)
def test_a_mistake_in_a_garment_is_told(tmp_path, garment, words):
    order = tmp_path / "order.toml"
    order.write_text(garment_order(garment), encoding="utf-8")

    refused(tmp_path, "plan", str(order), "--json", words=("order.toml", *words))


# File of the shop, what is replaced in it, what by, and what the sentence has to say.
SHOP_MISTAKES = [
    ("inks.toml", None, b"", ("white",)),
    ("inks.toml", None, b"\xff\xfe", ("inks.toml", "UTF-8")),
    ("inks.toml", b'name = "Tideline Low-Bleed White"', b'name = "Chalk Cotton White"', ("Chalk Cotton White",)),
    (
        "inks.toml",
        b'like = "Chalk Cotton White"',
        b'like = "Tideline Low-Bleed White"',
        ("inks.toml", "Tideline Low-Bleed White"),
    ),
    ("rules.toml", b'fact = "reducer"', b'fact = "reduser"', ("rules.toml", "reduser", "reducer")),
    ("rules.toml", b'\neffect = "forbid"', b'\neffect = "ban"', ("rules.toml", "ban", "forbid")),
    ("rules.toml", b"above = 0", b"contains = 0", ("rules.toml", "reducer")),
    ("shop.toml", b"labour_per_hour = 18", b"labour_per_hour = -18", ("shop.toml", "labour_per_hour", "-18")),
    ("shop.toml", b"[climate]", b"[climat]", ("shop.toml", "climat", "climate")),
    ("dryers.toml", None, b"", ("dryers.toml", "no dryer")),
    ("presses.toml", None, b"", ("presses.toml", "no press")),
    ("presses.toml", None, b"[[press]]\nname = 1\n", ("presses.toml", "press[1].name")),
    ("screens.csv", None, b"name,mesh\nA,43/80,9\n", ("screens.csv",)),
]


@pytest.mark.parametrize(("file", "old", "new", "words"), SHOP_MISTAKES)
def test_a_mistake_on_a_shelf_is_told_and_nothing_is_written(tmp_path, file, old, new, words):
    shop = new_shop(tmp_path / "shop")
    content = (shop / file).read_bytes()
    assert old is None or old in content
    (shop / file).write_bytes(new if old is None else content.replace(old, new, 1))

    refused(tmp_path, "plan", COTTON, "--shop", str(shop), "--ticket", str(tmp_path / "t.pdf"), words=words)


@pytest.mark.parametrize("file", ["shop.toml", "inks.toml", "screens.csv", "presses.toml", "rules.toml"])
def test_a_missing_shelf_is_named(tmp_path, file):
    shop = new_shop(tmp_path / "shop")
    (shop / file).unlink()

    refused(tmp_path, "plan", COTTON, "--shop", str(shop), words=(file,))


def test_an_order_or_a_shop_that_is_not_there_is_named(tmp_path):
    refused(tmp_path, "plan", str(tmp_path / "gone.toml"), words=("gone.toml",))
    refused(tmp_path, "plan", str(tmp_path), words=(str(tmp_path),))
    refused(tmp_path, "plan", COTTON, "--shop", str(tmp_path / "nowhere"), words=("nowhere", "laydown init"))


def test_a_shop_folder_that_refers_to_itself_is_refused(tmp_path):
    shop = new_shop(tmp_path / "shop")
    (shop / "inks.toml").unlink()
    (shop / "inks.toml").symlink_to(shop / "inks.toml")

    refused(tmp_path, "plan", COTTON, "--shop", str(shop), words=("inks.toml",))


def test_a_ticket_that_cannot_be_written_is_refused_before_anything_is_computed(tmp_path):
    (tmp_path / "folder").mkdir()

    refused(tmp_path, "plan", COTTON, "--ticket", str(tmp_path / "folder"), words=("folder", "a file is needed"))
    refused(tmp_path, "plan", COTTON, "--ticket", str(tmp_path / "no" / "t.pdf"), words=("there is no folder",))


def test_a_shop_is_never_begun_where_something_lies(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")

    refused(tmp_path, "init", str(tmp_path), words=("not empty",))
    refused(tmp_path, "init", str(tmp_path / "mine.txt"), words=("mine.txt",))


def test_demo_does_not_begin_where_it_could_not_end(tmp_path):
    (tmp_path / "mine.txt").write_text("mine")

    refused(tmp_path, "demo", "--out", str(tmp_path / "mine.txt"), words=("mine.txt", "folder"))


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("plann",), ("plann", "'plan'")),
        (("plan",), ("ORDER.toml",)),
        (("plan", COTTON, "--jsn"), ("--jsn", "--json")),
        (("plan", COTTON, "--ticket"), ("--ticket",)),
        (("plan", COTTON, "another"), ("another",)),
        (("schema",), ("plan|order",)),
        (("schema", "ticket"), ("ticket", "plan", "order")),
        (("explain", COTTON), ("NUMBER",)),
        (("init",), ("DIR",)),
        (("whites",), ("ORDERS_DIR",)),
        (("whites", "/nowhere/at/all"), ("/nowhere/at/all", "no such folder")),
        (("plan", COTTON, "--laydown", "guess"), ("guess", "'transfer'", "'trade press'")),
    ],
)
def test_a_mistake_on_the_command_line_is_one_sentence(tmp_path, arguments, words):
    refused(tmp_path, *arguments, words=words)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("order.toml", b"\xff\xfe\x00"),
        ("order.toml", b"\x00"),
        ("order.toml", b"a = [" * 5000),
        ("new\nline.toml", b"="),
    ],
)
def test_as_a_process_a_spoiled_file_gives_one_sentence(tmp_path, name, content):
    order = tmp_path / name
    order.write_bytes(content)

    called = call_process("plan", str(order), "--ticket", str(tmp_path / "t.pdf"))

    assert (called.status, called.out) == (2, "")
    assert is_one_sentence(called.err), called.err
    assert set(files_under(tmp_path)) == {name}


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read_gives_one_sentence(tmp_path):
    order = tmp_path / "order.toml"
    order.write_text(ORDER)
    order.chmod(0)

    refused(tmp_path, "plan", str(order), words=("order.toml",))

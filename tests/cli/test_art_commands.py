"""``laydown art``, ``plates`` and ``preview``."""

import pytest
from calls import ORDERS, call, files_under, is_one_sentence
from PIL import Image

pytestmark = pytest.mark.slow

FERRY = str(ORDERS / "20-night-ferry-tees.toml")
LIGHTHOUSE = str(ORDERS / "art" / "lighthouse.svg")


def test_art_tells_the_file_its_plates_and_its_colours():
    called = call("art", LIGHTHOUSE, "--garment", "Quayside tee black")

    assert called.status == 0, called.err
    for word in ("SVG", "280.0 × 320.0 mm", "underbase", "Beacon Red", "cm²", "#ffffff prints as"):
        assert word in called.out


def test_art_finds_no_more_inks_than_asked_for():
    called = call("art", LIGHTHOUSE, "--at-most", "2")

    assert called.status == 0, called.err
    plates = called.out.split("Plate ")[1].split("Colours")[0].strip().splitlines()[1:]
    assert len(plates) <= 2


def test_plates_are_written_with_their_mesh(tmp_path):
    called = call("plates", FERRY, str(tmp_path / "films"), "--per-inch", "180")

    assert called.status == 0, called.err
    written = files_under(tmp_path / "films")
    assert len(written) == 10
    assert {name.rsplit(".", 1)[1] for name in written} == {"tif", "pdf"}
    assert "underbase" in called.out
    assert "5 films are in" in called.out


def test_preview_writes_the_print_and_a_map(tmp_path):
    out, found = tmp_path / "p.png", tmp_path / "m.png"
    called = call("preview", FERRY, str(out), "--columns", "300", "--map", str(found), "--day", "7")

    assert called.status == 0, called.err
    assert "against the art" in called.out
    with Image.open(out) as image, Image.open(found) as other:
        assert image.size[0] == 300
        assert other.size[0] == 300


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("art", "gone.png"), "gone.png"),
        (("art", LIGHTHOUSE, "--ink", "Moon dust"), "Moon dust"),
        (("art", LIGHTHOUSE, "--garment", "Nothing"), "Nothing"),
        (("plates", FERRY, "films", "--print", "3"), "there is no print 3"),
        (("plates", FERRY, "films", "--dot", "stars", "--per-inch", "180"), "there is no dot 'stars'"),
        (("preview", FERRY, "nowhere/p.png"), "nowhere"),
    ],
)
def test_what_cannot_be_done_is_one_sentence_and_writes_nothing(tmp_path, monkeypatch, arguments, words):
    monkeypatch.chdir(tmp_path)
    called = call(*arguments)

    assert called.status == 2
    assert words in called.err
    assert is_one_sentence(called.err)
    assert files_under(tmp_path) == {}

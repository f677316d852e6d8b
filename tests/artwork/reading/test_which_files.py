"""Everything that may stand where an art file should."""

import os

import numpy as np
import pytest
from art_files import noise, pdf, png, tiff

from laydown.artwork.reading import Limits, inspect_art, read_picture
from laydown.artwork.reading import read as reading
from laydown.artwork.reading.kinds import tell_kind
from laydown.errors import InvalidInput


def refused(path, words, **options):
    for ask in (lambda: read_picture(path, width=0.05, **options), lambda: inspect_art(path, **options)):
        with pytest.raises(InvalidInput, match=words) as caught:
            ask()
        assert "\n" not in str(caught.value)


def test_no_such_file(tmp_path):
    refused(tmp_path / "none.png", r"^none\.png: there is no such file$")


def test_a_folder(tmp_path):
    refused(tmp_path, "it is a folder; name a PNG, TIFF, JPEG, SVG or PDF file in it")


def test_a_pipe_does_not_hold_the_caller(tmp_path):
    os.mkfifo(tmp_path / "pipe.png")

    refused(tmp_path / "pipe.png", "it is a pipe or a device")


def test_a_device():
    from pathlib import Path

    refused(Path("/dev/zero"), "it is a pipe or a device")


def test_an_empty_file(written):
    refused(written(b""), "the file is empty; export it again")


def test_links_in_a_circle(tmp_path):
    (tmp_path / "a.png").symlink_to(tmp_path / "b.png")
    (tmp_path / "b.png").symlink_to(tmp_path / "a.png")

    refused(tmp_path / "a.png", "cannot be opened .*levels of symbolic links")


def test_a_link_to_art_is_followed(read, written, tmp_path):
    (tmp_path / "link.png").symlink_to(written(png(noise(8, 8, 3))))

    assert read(tmp_path / "link.png", width=0.05).columns == 8


def test_a_name_that_no_system_takes(tmp_path):
    refused(tmp_path / ("a" * 300), "cannot be opened")
    refused(tmp_path / "a\0b", "cannot be opened")


def test_no_permission(written, monkeypatch):
    """As root nothing is forbidden, so the refusal of the system is played."""
    path = written(png(noise(8, 8, 3)))

    def forbidden(*_, **__):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(reading.os, "open", forbidden)
    refused(path, "it may not be read by this user; change its permissions")


def test_a_file_that_is_too_large(written):
    refused(written(png(noise(64, 64, 4))), r"the file has 0 MB; allowed are 0 MB", limits=Limits(file_bytes=1000))


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (b"GIF89a" + b"\0" * 20, "it is a GIF picture; art can be PNG, TIFF, JPEG, SVG or PDF"),
        (b"8BPS\0\1" + b"\0" * 20, "a PSD document"),
        (b"RIFF\0\0\0\0WEBPVP8 ", "a WebP picture"),
        (b"%!PS 3.0", "it is PostScript"),
        (b"PK\3\4" + b"\0" * 20, "a ZIP archive"),
        (b"\x1f\x8b\x08" + b"\0" * 20, "compressed with gzip"),
        (b"<!doctype html><html></html>", "an HTML page"),
        (b"hello, this is text", "it is of an unknown kind; art can be PNG"),
        (b"\0", "of an unknown kind"),
    ],
)
def test_other_kinds_are_named_with_what_would_be_read(written, head, words):
    refused(written(head), words)


@pytest.mark.parametrize(
    ("name", "data", "kind"),
    [
        ("a.jpg", png(noise(8, 8, 3)), "PNG"),
        ("a.png", tiff(noise(8, 8, 3), photometric=2), "TIFF"),
        ("a.png", pdf(b"0 0 9 9 re f"), "PDF"),
        ("a.PDF", b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>', "SVG"),
    ],
)
def test_the_content_counts_and_a_lying_name_is_mentioned(read, written, name, data, kind):
    picture = read(written(data, name), width=0.05)

    assert picture.kind == kind
    assert picture.notes[0] == f"the name ends in {name[1:]}, but the content is {kind} and was read as that"


@pytest.mark.parametrize("name", ["art", "art.PNG", "art.png"])
def test_a_name_that_does_not_lie_is_not_mentioned(read, written, name):
    assert not any("name ends in" in note for note in read(written(png(noise(8, 8, 3)), name), width=0.05).notes)


def test_svg_is_told_behind_a_comment_and_a_mark():
    assert tell_kind(b"\xef\xbb\xbf<?xml version='1.0'?><!-- made by hand --><svg:svg xmlns:svg='x'>") == "SVG"
    assert tell_kind("<svg>".encode("utf-16")) == "SVG"
    assert tell_kind(b"text about <svg>") is None


@pytest.mark.parametrize("page", [0, -1, 2])
def test_pages_that_are_not_there(read, written, page):
    with pytest.raises(InvalidInput, match=r"pages count from 1|a PNG has one page"):
        read(written(png(noise(8, 8, 3))), width=0.05, page=page)


def test_a_strange_name_is_told_on_one_line(written):
    path = written(b"x", "a\nb\x1b[31m.png")

    refused(path, "it is of an unknown kind")


def test_a_file_that_ends_while_it_is_read(written):
    path = written(png(np.zeros((50, 50), np.uint8)))
    os.truncate(path, 40)

    refused(path, "is not a PNG that can be read")

"""``laydown serve`` refuses what is unsafe with a sentence, and says where the app is."""

from __future__ import annotations

import socket

import pytest

from laydown.cli.main import main
from laydown.web.serve import address_of
from laydown.web.settings import Settings


@pytest.mark.parametrize(
    ("options", "sentence"),
    [
        (["--host", "0.0.0.0"], "passwords would pass unencrypted"),
        (["--host", "0.0.0.0", "--plain-http", "--no-login"], "anybody there could change the shop"),
        (["--public-url", "https://shop.example"], "add --login"),
        (["--host", "0.0.0.0", "--certificate", "c.pem"], "are given together"),
        (["--database", "mysql://x/y"], "is no database that is known here"),
    ],
)
def test_what_is_unsafe_or_unknown_is_refused(options, sentence, capsys, tmp_path):
    assert main(["serve", *options, "--data", str(tmp_path / "data")]) == 2
    told = capsys.readouterr()
    assert sentence in told.err
    assert "Traceback" not in told.err
    assert not (tmp_path / "data").exists()


def test_a_port_that_is_taken_is_told(capsys, tmp_path):
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        assert main(["serve", "--port", port, "--data", str(tmp_path)]) == 2
    assert f"port {port} of 127.0.0.1 cannot be listened on" in capsys.readouterr().err


def test_a_database_that_cannot_be_opened_is_told(capsys, tmp_path):
    file = tmp_path / "none.sqlite"
    file.write_text("this is no database, but long enough to be looked at by somebody who knows what one is")
    assert main(["serve", "--port", "0", "--database", str(file)]) == 1
    assert "restore a backup" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("settings", "address"),
    [
        ({}, "http://127.0.0.1:8300"),
        ({"host": "::1"}, "http://[::1]:8300"),
        ({"host": "0.0.0.0", "own_names": ("presshop",)}, "http://presshop:8300"),
        ({"public_url": "https://shop.example/"}, "https://shop.example"),
    ],
)
def test_the_address_is_one_that_a_browser_can_open(settings, address):
    assert address_of(Settings(**settings), 8300) == address

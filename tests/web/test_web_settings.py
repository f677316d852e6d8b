"""Unsafe ways to start are refused, each with its reason."""

from __future__ import annotations

import pytest

from laydown.errors import InvalidInput
from laydown.web.settings import Settings, check_settings


def refused(**settings):
    with pytest.raises(InvalidInput) as error:
        check_settings(Settings(**settings))
    return str(error.value)


def test_the_own_machine_needs_no_login():
    for host in ("127.0.0.1", "localhost", "::1", "127.0.0.9"):
        settings = Settings(host=host)
        check_settings(settings)
        assert not settings.needs_login


def test_the_network_needs_a_login():
    settings = Settings(host="0.0.0.0", plain_http=True)
    check_settings(settings)
    assert settings.needs_login


def test_no_login_in_the_network_is_refused():
    assert "anybody there could change the shop" in refused(host="0.0.0.0", login=False, plain_http=True)
    assert "anybody there could change the shop" in refused(host="shop.example", login=False, plain_http=True)


def test_passwords_unencrypted_in_the_network_are_refused_unless_said():
    assert "unencrypted" in refused(host="192.0.2.7")
    assert "unencrypted" in refused(host="::")
    check_settings(Settings(host="192.0.2.7", public_url="https://shop.example"))


def test_a_proxy_without_a_login_is_refused():
    assert "a login is needed" in refused(public_url="https://shop.example")
    assert "a login is needed" in refused(public_url="https://shop.example", login=False)
    check_settings(Settings(public_url="https://shop.example", login=True))


@pytest.mark.parametrize("url", ["shop.example", "ftp://shop.example", "https://", "https://a.b/path", "https://u@a.b"])
def test_a_public_address_that_is_none_is_refused(url):
    assert "is no address" in refused(public_url=url, login=True)


def test_half_a_certificate_is_refused(tmp_path):
    certificate, key = tmp_path / "c.pem", tmp_path / "k.pem"
    certificate.write_text("")
    key.write_text("")
    key.chmod(0o600)
    check_settings(Settings(host="0.0.0.0", certificate=certificate, key=key))
    assert "given together" in refused(host="0.0.0.0", certificate=certificate)
    assert "given together" in refused(host="0.0.0.0", key=key)
    assert "no such file" in refused(host="0.0.0.0", certificate=tmp_path / "none", key=key)


def test_a_key_that_others_can_read_is_refused(tmp_path):
    certificate, key = tmp_path / "c.pem", tmp_path / "k.pem"
    certificate.write_text("")
    key.write_text("")
    key.chmod(0o644)
    assert "others on this machine can read the key" in refused(host="0.0.0.0", certificate=certificate, key=key)


def test_a_port_or_host_that_is_none_is_refused():
    assert "is no port" in refused(port=70000)
    assert "neither a name nor an address" in refused(host="two words")


def test_an_unsafe_app_is_not_even_built(tmp_path):
    from laydown.web.app import create_app

    with pytest.raises(InvalidInput):
        create_app(Settings(host="0.0.0.0", login=False, data=tmp_path))
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("host", ["127.0.0.1:8300", "localhost", "[::1]:8300", "LOCALHOST:1"])
def test_the_own_machine_answers_to_its_names(host):
    assert Settings().host_is_ours(host)


@pytest.mark.parametrize("host", ["evil.example", "192.0.2.7", "localhost.evil.example", "", "[", "127.0.0.1.evil"])
def test_the_own_machine_answers_to_no_other_name(host):
    assert not Settings().host_is_ours(host)


def test_the_network_answers_to_addresses_and_its_own_names_only():
    settings = Settings(host="0.0.0.0", plain_http=True, own_names=("presshop", "presshop.local"))
    assert all(
        settings.host_is_ours(host) for host in ("192.0.2.7:80", "presshop", "presshop.local:8300", "[2001:db8::1]")
    )
    assert not settings.host_is_ours("evil.example")

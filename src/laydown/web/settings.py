"""What the app is started with, and the combinations that it refuses."""

from __future__ import annotations

import ipaddress
import re
import socket
import stat
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

from laydown.errors import InvalidInput

LOOPBACK_NAMES = ("localhost", "127.0.0.1", "::1")
_NAME = re.compile(r"[A-Za-z0-9]([A-Za-z0-9.-]{0,251}[A-Za-z0-9])?\Z")


def _names_of_this_machine() -> tuple[str, ...]:
    name = socket.gethostname().lower()
    return (name, name.partition(".")[0], f"{name.partition('.')[0]}.local") if name else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """How the app is served.

    Attributes
    ----------
    database : str or None
        As `laydown.services.opening.open_database`; None: ``laydown.sqlite`` in `data`.
    data : Path or None
        Folder for the database and for files on their way in; None: the user's data folder.
    host, port
        What is listened on.
    login : bool or None
        Whether people log in; None: unless only this machine can reach the app.
    public_url : str
        Address by which browsers reach it when that is another than host and port (a proxy in front).
    certificate, key : Path or None
        For https without a proxy.
    plain_http : bool
        Whether passwords may pass an unencrypted network.
    worker : bool
        Whether long work is done by a process of this app.
    """

    database: str | None = None
    data: Path | None = None
    host: str = "127.0.0.1"
    port: int = 8300
    login: bool | None = None
    public_url: str = ""
    certificate: Path | None = None
    key: Path | None = None
    plain_http: bool = False
    worker: bool = True
    own_names: tuple[str, ...] = field(default_factory=_names_of_this_machine)

    @property
    def loopback(self) -> bool:
        """Whether only this machine can reach the app."""
        return is_loopback(self.host)

    @property
    def needs_login(self) -> bool:
        """Whether people log in."""
        return self.login if self.login is not None else not self.loopback

    @property
    def https(self) -> bool:
        """Whether browsers reach the app by https."""
        return self.certificate is not None or self.public_url.startswith("https://")

    @property
    def folder(self) -> Path:
        """Folder of the app's own files."""
        if self.data is not None:
            return self.data
        from platformdirs import user_data_path

        return user_data_path("laydown", appauthor=False)

    @property
    def database_url(self) -> str | None:
        """Address of the database; None: the usual file."""
        if self.database is None and self.data is not None:
            return str(self.data / "laydown.sqlite")
        return self.database

    def host_is_ours(self, host: str) -> bool:
        """Whether a request that names this host is meant for the app.

        A page of another site could otherwise reach a server in the shop's network by a name that it lets point there
        (DNS rebinding). An address in figures cannot be made to point elsewhere, so it is taken from the network.
        """
        name = host_name(host)
        if name in LOOPBACK_NAMES or (self.public_url and name == (urlsplit(self.public_url).hostname or "")):
            return True
        if not self.needs_login:
            return False
        return name in self.own_names or name == self.host.lower() or _is_address(name)


def check_settings(settings: Settings) -> None:
    """Refuse to start with what would leave a door open.

    Raises
    ------
    InvalidInput
        With the reason and what would be allowed.
    """
    if not 0 <= settings.port <= 65535:
        raise InvalidInput(f"{settings.port} is no port; allowed are 0 (any free one) to 65535", where="--port")
    if not (_is_address(settings.host) or _NAME.match(settings.host)):
        raise InvalidInput(f"{settings.host!r} is neither a name nor an address", where="--host")
    if settings.public_url:
        _check_public_url(settings.public_url)
    if (settings.certificate is None) != (settings.key is None):
        raise InvalidInput("a certificate and its key are given together", where="--certificate, --key")
    if settings.certificate is not None and settings.key is not None:
        _check_certificate(settings.certificate, settings.key)
    if not settings.loopback and settings.login is False:
        raise InvalidInput(
            f"{settings.host} can be reached from the network, and without a login anybody there could change the "
            "shop; leave --no-login out, or listen on 127.0.0.1",
            where="--no-login",
        )
    if settings.public_url and not settings.needs_login:
        raise InvalidInput(
            "a public address means that others reach the app through a proxy, so a login is needed; add --login",
            where="--public-url",
        )
    if not settings.loopback and not settings.https and not settings.plain_http:
        raise InvalidInput(
            f"{settings.host} can be reached from the network, where passwords would pass unencrypted; give "
            "--certificate and --key, or --public-url https://... for a proxy in front, or say --plain-http when "
            "everybody on that network is trusted",
            where="--host",
        )


def is_loopback(host: str) -> bool:
    """Whether a host to listen on is this machine only."""
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def host_name(host: str) -> str:
    """Name in a Host header, without its port and brackets, lower case; empty when it is none."""
    try:
        return (urlsplit(f"//{host}").hostname or "").rstrip(".")
    except ValueError:
        return ""


def _is_address(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def _check_public_url(url: str) -> None:
    parts = urlsplit(url)
    try:
        fits = parts.scheme in {"http", "https"} and bool(parts.hostname) and parts.path in {"", "/"}
        fits = fits and not (parts.query or parts.fragment or parts.username) and parts.port != 0
    except ValueError:
        fits = False
    if not fits:
        raise InvalidInput(f"{url!r} is no address such as https://shop.example", where="--public-url")


def _check_certificate(certificate: Path, key: Path) -> None:
    for path, option in ((certificate, "--certificate"), (key, "--key")):
        if not path.is_file():
            raise InvalidInput("there is no such file", where=f"{option} {path}")
    if key.stat().st_mode & (stat.S_IRGRP | stat.S_IROTH):
        raise InvalidInput("others on this machine can read the key; chmod 600 it first", where=f"--key {key}")

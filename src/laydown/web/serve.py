"""Run the app until it is stopped."""

from __future__ import annotations

import logging
import socket
import sys
from collections.abc import Callable

from laydown.errors import InvalidInput
from laydown.web.settings import Settings


def serve(settings: Settings, *, tell: Callable[[str], None]) -> None:
    """Serve until interrupted.

    Parameters
    ----------
    settings : Settings
    tell : callable
        Told, line by line, where the app is and what to do first.

    Raises
    ------
    InvalidInput
        When the settings would leave a door open, or the port is taken.
    StoreUnavailable
        When the database cannot be opened.
    """
    import uvicorn

    from laydown.web.app import create_app

    app = create_app(settings)
    logging.basicConfig(stream=sys.stderr, level=logging.WARNING, format="%(asctime)s %(message)s")
    logging.getLogger("laydown").setLevel(logging.INFO)
    listening = _listen(settings)
    address = address_of(settings, listening.getsockname()[1])
    config = uvicorn.Config(
        app,
        access_log=False,
        log_config=None,
        log_level="warning",
        server_header=False,
        date_header=True,
        # Addresses that a proxy names in a header can be made up by anybody who reaches this port.
        proxy_headers=False,
        ssl_certfile=str(settings.certificate) if settings.certificate else None,
        ssl_keyfile=str(settings.key) if settings.key else None,
        timeout_graceful_shutdown=5,
    )
    tell(f"laydown answers at {address}")
    tell(f"database: {app.state.laydown.store.where}")
    if app.state.laydown.setup_code:
        tell(f"nobody can log in yet: open {address}/setup and enter the code {app.state.laydown.setup_code}")
    tell("stop with Ctrl+C")
    uvicorn.Server(config).run(sockets=[listening])


def address_of(settings: Settings, port: int) -> str:
    """Address to open in a browser."""
    if settings.public_url:
        return settings.public_url.rstrip("/")
    host = settings.host
    if host in {"0.0.0.0", "::"}:  # noqa: S104 - compared, not listened on
        host = settings.own_names[0] if settings.own_names else "localhost"
    host = f"[{host}]" if ":" in host else host
    return f"{'https' if settings.certificate else 'http'}://{host}:{port}"


def _listen(settings: Settings) -> socket.socket:
    try:
        family, kind, _, _, place = socket.getaddrinfo(
            settings.host, settings.port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        listening = socket.socket(family, kind)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(place)
        # Whoever comes before the app is ready waits in line.
        listening.listen(2048)
    except OSError as error:
        reason = error.strerror or str(error)
        raise InvalidInput(
            f"port {settings.port} of {settings.host} cannot be listened on ({reason}); name another with --port",
            where="--port",
        ) from None
    listening.set_inheritable(True)
    return listening

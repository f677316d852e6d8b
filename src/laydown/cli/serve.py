"""``laydown serve``: the shop's app in a browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def serve(
    host: Annotated[
        str, typer.Option("--host", metavar="NAME", help="What to listen on; other than this machine needs a login.")
    ] = "127.0.0.1",
    port: Annotated[int, typer.Option("--port", metavar="NUMBER", help="Port; 0 takes any free one.")] = 8300,
    database: Annotated[
        str | None,
        typer.Option(
            "--database",
            metavar="URL",
            envvar="LAYDOWN_DATABASE",
            help="'sqlite:///FILE' or 'postgresql://USER@HOST/NAME'; without it a file in the data folder.",
            show_default=False,
        ),
    ] = None,
    data: Annotated[
        Path | None,
        typer.Option("--data", metavar="DIR", help="Data folder; without it the user's.", show_default=False),
    ] = None,
    login: Annotated[
        bool | None,
        typer.Option(
            "--login/--no-login",
            help="Whether people log in; without it, only when others can reach the app.",
            show_default=False,
        ),
    ] = None,
    public_url: Annotated[
        str,
        typer.Option("--public-url", metavar="URL", help="Address of a proxy in front.", show_default=False),
    ] = "",
    certificate: Annotated[
        Path | None, typer.Option("--certificate", metavar="FILE", help="For https.", show_default=False)
    ] = None,
    key: Annotated[
        Path | None, typer.Option("--key", metavar="FILE", help="Of the certificate.", show_default=False)
    ] = None,
    plain_http: Annotated[
        bool,
        typer.Option("--plain-http", help="Let passwords pass unencrypted, on a network where everybody is trusted."),
    ] = False,
) -> None:
    """Serve the shop's app to browsers, until stopped."""
    # The two doors do not know each other, so the one that opens the other finds it by name.
    from importlib import import_module

    settings = import_module("laydown.web.settings").Settings(
        database=database,
        data=data,
        host=host,
        port=port,
        login=login,
        public_url=public_url,
        certificate=certificate,
        key=key,
        plain_http=plain_http,
    )
    import_module("laydown.web.serve").serve(settings, tell=typer.echo)

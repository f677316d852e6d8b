"""Style sheets, scripts and fonts; and whether the app answers."""

from __future__ import annotations

from fastapi import HTTPException
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from laydown.web.needs import needs
from laydown.web.routing import State, page_router

router = page_router()


@router.get("/static/{version}/{name:path}")
@needs("open")
def static(request: Request, version: str, name: str, state: State) -> Response:
    """Give a file; its address changes with its content, so it may be kept for ever."""
    accepted = [one.partition(";")[0].strip() for one in request.headers.get("accept-encoding", "").split(",")]
    found = state.assets.find(version, name, packed="gzip" in accepted)
    if found is None:
        raise HTTPException(404)
    content, kind, packed = found
    tag = f'"{version}{"-gzip" if packed else ""}"'
    headers = {"cache-control": "public, max-age=31536000, immutable", "etag": tag, "vary": "accept-encoding"}
    if tag in request.headers.get("if-none-match", ""):
        return Response(status_code=304, headers=headers)
    return Response(content, media_type=kind, headers=headers | ({"content-encoding": "gzip"} if packed else {}))


@router.get("/health")
@needs("open")
def health() -> Response:
    """Say that the app answers."""
    return PlainTextResponse("ok\n")


@router.get("/robots.txt")
@needs("open")
def robots() -> Response:
    """Keep search engines out."""
    return PlainTextResponse("User-agent: *\nDisallow: /\n")

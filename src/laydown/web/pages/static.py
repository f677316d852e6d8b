"""Style sheets, scripts and fonts; and whether the app answers."""

from __future__ import annotations

from fastapi import HTTPException
from starlette.responses import PlainTextResponse, Response

from laydown.web.needs import needs
from laydown.web.routing import State, page_router

router = page_router()


@router.get("/static/{version}/{name:path}")
@needs("open")
def static(version: str, name: str, state: State) -> Response:
    """Give a file; its address changes with its content, so it may be kept for ever."""
    found = state.assets.find(version, name)
    if found is None:
        raise HTTPException(404)
    content, kind = found
    return Response(content, media_type=kind, headers={"cache-control": "public, max-age=31536000, immutable"})


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

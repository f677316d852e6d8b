"""What a person or a program is told when something cannot be done; never a trace."""

from __future__ import annotations

import logging
from typing import Any
from urllib.parse import quote

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from laydown.errors import Conflict, InvalidInput, LaydownError, StoreUnavailable
from laydown.web.guard import SAFE, is_api
from laydown.web.identity import identify
from laydown.web.refusal import Refusal
from laydown.web.render import render
from laydown.web.status import status_of, told_by_status

log = logging.getLogger("laydown.web")


class Problem(BaseModel):
    """Why something was not done."""

    what: str = Field(description="One sentence: what is wrong and what would be allowed.")
    where: str = Field(description="Field, file and line, or empty.")


def add_handlers(app: FastAPI) -> None:
    """Let the app answer every error as this module says."""
    app.add_exception_handler(LaydownError, _laydown)
    app.add_exception_handler(Refusal, _refused)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(RequestValidationError, _invalid)


def answer(
    request: Request,
    status: int,
    what: str,
    *,
    where: str = "",
    headers: dict[str, str] | None = None,
    told: tuple[str, str] = ("", ""),
    **more: Any,
) -> Response:
    """Page or JSON that tells of a problem; `told` is title and next step where those of the status do not fit."""
    if is_api(request):
        return JSONResponse({"what": what, "where": where, **more}, status, headers=headers)
    title, then = (own or usual for own, usual in zip(told, told_by_status(status), strict=True))
    page = render(request, "problem.html", status=status, title=title, what=what, where=where, then=then, code=status)
    page.headers.update(headers or {})
    return page


async def _laydown(request: Request, error: Exception) -> Response:
    if not isinstance(error, LaydownError):  # pragma: no cover - registered for LaydownError only
        raise error
    status = status_of(error)
    if status >= 500:
        log.error("%s %s: %s", request.method, ascii(request.url.path), error)
    headers = {"retry-after": "1"} if isinstance(error, StoreUnavailable) and error.busy else None
    what = error.what if isinstance(error, InvalidInput | Conflict | StoreUnavailable) else str(error)
    return answer(request, status, what, where=str(getattr(error, "where", "")), headers=headers)


async def _refused(request: Request, error: Exception) -> Response:
    if not isinstance(error, Refusal):  # pragma: no cover - registered for Refusal only
        raise error
    if error.log_in and not is_api(request) and request.method in SAFE:
        wanted = request.url.path + (f"?{request.url.query}" if request.url.query else "")
        return RedirectResponse(f"/login?next={quote(wanted, safe='')}", 303)
    headers = {"www-authenticate": "Bearer"} if error.status == 401 else {}
    headers |= {"retry-after": str(error.retry_after)} if error.retry_after else {}
    return answer(request, error.status, error.what, headers=headers, told=(error.title, error.then))


async def _http(request: Request, error: Exception) -> Response:
    if not isinstance(error, HTTPException):  # pragma: no cover - registered for HTTPException only
        raise error
    sentences = {
        404: "there is no page at this address" if not is_api(request) else "there is nothing at this address",
        405: "this address does not take such a request",
        413: "what was sent is larger than this address takes",
    }
    what = sentences.get(error.status_code, str(error.detail))
    if not hasattr(request.state, "identity") and not is_api(request):
        # No route was found, so nobody stood at its door yet.
        request.state.identity = await run_in_threadpool(identify, request)
    return answer(request, error.status_code, what, headers=dict(error.headers or {}))


async def too_large(request: Request) -> Response:
    """Answer a body that was turned away before any route saw it."""
    return await _http(request, HTTPException(413))


async def _invalid(request: Request, error: Exception) -> Response:
    if not isinstance(error, RequestValidationError):  # pragma: no cover - registered for it only
        raise error
    first = error.errors()[0]
    where = ".".join(str(part) for part in first["loc"])
    what = str(first["msg"])
    if first["type"] == "missing" and not is_api(request):
        what, where = f"the address or the form does not say the {first['loc'][-1]}; come by a link of the app", ""
    return answer(request, 422, what[:1].lower() + what[1:], where=where)


async def fault(request: Request, error: Exception) -> Response:
    """Answer an error that nobody foresaw, and put its trace into the log."""
    number = getattr(request.state, "request_id", "")
    log.error("%s %s %s", request.method, ascii(request.url.path), number, exc_info=error)
    return answer(request, 500, f"something went wrong that should not; its number is {number}")

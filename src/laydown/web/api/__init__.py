"""The JSON interface: one file a part, each with a ``router``; a new one is added to `API_ROUTERS`."""

from __future__ import annotations

from fastapi import APIRouter

API_ROUTERS: tuple[APIRouter, ...] = ()

"""Pictures of every page, light and dark, at three widths, into an ignored folder: ``python tools/screenshots/run.py``.

Starts the app on a free port with the demo shop in a temporary folder, plans two of its orders, and lets Debian's
chromium look through playwright; pages whose names begin with ``empty-`` are those of an empty shop. What has no
address of its own (refusals, what an import would do, the door with a login, papers) is reached by ``states.py``.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Page, sync_playwright
from states import STATES, at_the_door, fill_lab, hire, sheets, shoot, still

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)
WIDTHS = (360, 820, 1440)
PLANNED = ("/orders/19", "/orders/5")
"""Orders of the demo shop that are planned first: one with art, then one whose cloth bleeds."""

PATIENCE_MS = 300_000
PAGES = Path(__file__).with_name("pages.txt")


@contextmanager
def served(folder: Path, *arguments: str) -> Iterator[tuple[str, list[str]]]:
    """Address of an app that runs until the end, and what it told."""
    command = [
        str(Path(sys.executable).with_name("laydown")),
        "serve",
        "--port",
        "0",
        "--data",
        str(folder),
        *arguments,
    ]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        told = []
        for line in process.stdout or ():
            told.append(line.strip())
            if line.startswith("stop with"):
                break
        yield re.findall(r"http\S+", told[0])[0], told
    finally:
        process.terminate()
        process.wait(timeout=30)


def main() -> None:
    """Take the pictures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--out", type=Path, default=Path("screenshots"))
    parser.add_argument("--only", default="", help="a regular expression of names")
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    pages = _pages(options.only)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        with served(Path(folder) / "demo") as (address, _):
            if re.search(options.only, "start"):
                _shoot(browser, address, [("start", "/start")], options.out)
            page = browser.new_page()
            page.goto(f"{address}/start")
            page.get_by_role("button", name="Take the demo shop").click()
            planned = any(path.startswith(PLANNED) for _, path in pages) or re.search(options.only, "press-at-work")
            if planned:
                _plan(page, address)
            page.close()
            _shoot(browser, address, [one for one in pages if not one[0].startswith("empty-")], options.out)
            fill_lab(Path(folder) / "demo" / "laydown.sqlite")
            page = still(browser)
            for name, step in STATES:
                if re.search(options.only, name):
                    step(page, address)
                    shoot(page, name, options.out, WIDTHS)
            if planned:
                sheets(page, address, options.out)
            page.context.close()
        if re.search(options.only, "login"):
            hire(Path(folder) / "demo" / "laydown.sqlite")
            with served(Path(folder) / "demo", "--login") as (address, _):
                page = still(browser)
                for name in at_the_door(page, address, Path(folder) / "demo" / "laydown.sqlite"):
                    shoot(page, name, options.out, WIDTHS)
                page.context.close()
            with served(Path(folder) / "new", "--login") as (address, _):
                page = still(browser)
                page.goto(address)
                shoot(page, "setup", options.out, WIDTHS)
                page.context.close()
        empty = [one for one in pages if one[0].startswith("empty-")]
        if empty:
            with served(Path(folder) / "empty") as (address, _):
                page = browser.new_page()
                page.goto(f"{address}/start")
                page.get_by_label("Name of the shop").fill("Quay Prints")
                page.get_by_role("button", name="Start empty").click()
                page.close()
                _shoot(browser, address, empty, options.out)
        browser.close()
    print(f"{len(list(options.out.glob('*.png')))} pictures are in {options.out}")


def _pages(only: str) -> list[tuple[str, str]]:
    lines = PAGES.read_text(encoding="utf-8").splitlines()
    pairs = [line.split(maxsplit=1) for line in lines if line.strip() and not line.startswith("#")]
    return [(name, path) for name, path in pairs if re.search(only, name)]


def _plan(page: Page, address: str) -> None:
    """Plan one order with art, one whose cloth bleeds, and keep a change of it."""
    for order in PLANNED:
        page.goto(f"{address}{order}")
        page.get_by_role("button", name="Plan it").click()
        page.get_by_role("button", name="See the result").click(timeout=PATIENCE_MS)
        page.wait_for_url("**/plans/1")
        pictures = page.get_by_role("button", name="Show the art on the garment")
        asked = pictures.count() > 0
        if asked:
            pictures.first.click()
        if asked or page.locator("#pictures .job").count():
            page.locator("#pictures").get_by_role("button", name="See the result").click(timeout=PATIENCE_MS)
            page.locator("figure[data-today] img").first.wait_for(timeout=PATIENCE_MS)
    page.locator("select[name=hits1]").first.select_option("2")
    page.locator(".verdict").wait_for(timeout=PATIENCE_MS)
    page.get_by_label("Why the plan is changed").first.fill("cover more on the trial print")
    page.get_by_role("button", name="Keep as a plan of its own").first.click()
    page.wait_for_url("**/plans/2", timeout=PATIENCE_MS)


def _shoot(browser: Browser, address: str, pages: list[tuple[str, str]], out: Path) -> None:
    for scheme in ("light", "dark"):
        for width in WIDTHS:
            context = browser.new_context(color_scheme=scheme, viewport={"width": width, "height": 900})
            page = context.new_page()
            for name, path in pages:
                page.goto(address + path)
                page.evaluate("for (const one of document.images) one.loading = 'eager'")
                page.wait_for_load_state("networkidle")
                page.screenshot(path=out / f"{name}-{scheme}-{width}.png", full_page=True)
            context.close()


if __name__ == "__main__":
    main()

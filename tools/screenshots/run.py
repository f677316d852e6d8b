"""Pictures of every page, light and dark, at three widths, into an ignored folder: ``python tools/screenshots/run.py``.

Starts the app on a free port with the demo shop in a temporary folder, and Debian's chromium through playwright.
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

from playwright.sync_api import sync_playwright

CHROMIUM = "/usr/bin/chromium"
FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)
WIDTHS = (360, 820, 1440)
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
    pages = [line.split(maxsplit=1) for line in PAGES.read_text(encoding="utf-8").splitlines() if line[:1] != "#"]
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as (address, _), sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        page = browser.new_page()
        page.goto(f"{address}/start")
        page.screenshot(path=options.out / "start-light-820.png")
        page.get_by_role("button", name="Take the demo shop").click()
        page.close()
        for scheme in ("light", "dark"):
            for width in WIDTHS:
                context = browser.new_context(color_scheme=scheme, viewport={"width": width, "height": 900})
                for name, path in pages:
                    if re.search(options.only, name):
                        page = context.new_page()
                        page.goto(address + path)
                        page.screenshot(path=options.out / f"{name}-{scheme}-{width}.png", full_page=True)
                        page.close()
                context.close()
        browser.close()
    print(f"{len(list(options.out.glob('*.png')))} pictures are in {options.out}")


if __name__ == "__main__":
    main()

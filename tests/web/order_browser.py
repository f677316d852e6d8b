"""The app as a process of its own, and Debian's chromium looking at it."""

from __future__ import annotations

import contextlib
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
CHROMIUM = Path("/usr/bin/chromium")
AXE = Path(__file__).parent / "vendor" / "axe-4.14.1.min.js"
WIDTHS, SCHEMES = (360, 820, 1440), ("light", "dark")
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]

_SERVE = """
import sys
from pathlib import Path
from laydown.web.serve import serve
from laydown.web.settings import Settings
if __name__ == "__main__":
    serve(Settings(data=Path(sys.argv[1]), port=int(sys.argv[2]), worker=sys.argv[3] == "worker"), tell=print)
"""


def free_port() -> int:
    """Port that nobody listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextlib.contextmanager
def served(folder: Path, port: int, *, worker: bool = True) -> Iterator[str]:
    """Serve a folder, with or without processes for what takes long; gives the address."""
    script = folder / "serve_for_tests.py"
    script.write_text(_SERVE, encoding="utf-8")
    with (folder / "log.txt").open("a", encoding="utf-8") as log:
        how = "worker" if worker else "alone"
        process = subprocess.Popen(
            [sys.executable, str(script), str(folder), str(port), how], stdout=log, stderr=subprocess.STDOUT
        )
        try:
            for _ in range(600):
                with contextlib.suppress(OSError), socket.create_connection(("127.0.0.1", port), 1):
                    break
                time.sleep(0.1)
            yield f"http://127.0.0.1:{port}"
        finally:
            process.terminate()
            process.wait(30)


def violations(page) -> list[str]:
    """What axe finds against WCAG 2.2 AA on a page whose context lets its script in."""
    page.evaluate(AXE.read_text(encoding="utf-8"))
    return _found(page)


def wrong_on(page, at, *, schemes=SCHEMES, widths=WIDTHS) -> list[str]:
    """What is wrong with an open page: what axe finds, and where it is wider than the screen, light and dark.

    Every width and both schemes are judged, the second scheme at the middle width: colours do not hang on the width.
    The page is loaded once; then the screen is made wider and darker, which is quicker than loading it again. Its
    context lets the script in and reduces motion, so that no colour is on its way when it is looked at.
    """
    page.evaluate(AXE.read_text(encoding="utf-8"))
    wrong: list[str] = []
    for scheme in schemes:
        page.emulate_media(color_scheme=scheme)
        for width in widths if scheme == schemes[0] else widths[len(widths) // 2 :][:1]:
            page.set_viewport_size({"width": width, "height": 900})
            over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
            found = [*_found(page), *([f"{over} px too wide"] if over > 0 else [])]
            wrong += [f"{at}, {scheme}, {width} px: {one}" for one in found]
    return wrong


def _found(page) -> list[str]:
    asked = {"runOnly": RULES, "resultTypes": ["violations"]}
    found = page.evaluate("asked => axe.run(document, asked)", asked)["violations"]
    return [f"{one['id']}: {node['html'][:150]}" for one in found for node in one["nodes"][:3]]


def listen(page, said: list[str]) -> None:
    """Collect what a page complains of on its console."""
    page.on("console", lambda one: said.append(f"{one.type}: {one.text}") if one.type in {"error", "warning"} else None)
    page.on("pageerror", lambda error: said.append(f"page error: {error}"))

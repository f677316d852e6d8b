"""Pages that have no address of their own: refusals, what an import would do, a press at work, a lab with swatches.

Each function leads a page there as a person would; `shoot` then takes its six pictures without loading it again.
"""

from __future__ import annotations

import datetime as dt
import sqlite3
import uuid
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

from playwright.sync_api import Browser, Page

from laydown.domain.protocol import Reads
from laydown.services import accounts, opening, people, swatch_readings, swatch_start
from laydown.services.swatch_start import PassWish

PASSWORD = "a password of the pictures"
GARMENT = "Quayside tee black"
CATALOGUE = b"""Style,Colour,Fibre,Mass,Price
Wharf tee,Black,100% cotton,180 g/m2,2.10
Wharf tee,Red,50% cotton 50% polyester,two,2.10
Wharf hood,Navy,80% cotton 20% polyester,280 g/m2,
"""
READINGS = (
    b"SAMPLE_ID,LAB_L,LAB_A,LAB_B\n1 film,88.4,0.9,2.1\n1 film again,88.1,1.0,2.2\nno such swatch,20.1,0.2,-0.4\n"
)

Step = Callable[[Page, str], None]


def fill_lab(database: Path) -> None:
    """Start swatches of the demo shop: one that was read in part, one that is only cloth, one of tones."""
    made = dt.datetime.now(dt.UTC) - dt.timedelta(days=3)
    with opening.open_database(str(database)) as store:
        passes = [PassWish(**one) for one in swatch_start.usual_passes(swatch_start.choices(store))]
        for key, protocol in (("oven-bleed", "oven-bleed"), ("foil", "foil-x10"), ("tone", "tone-strip")):
            swatch_start.start_from_cloth(
                store, protocol=protocol, garment=GARMENT, lot="L-7", who="pictures", made_at=made, key=f"shot-{key}",
                **({} if key == "foil" else {"passes": passes}),
            )  # fmt: skip
        for film, printed in ((10, 0.14), (30, 0.42), (50, 0.65), (90, 0.96)):
            about = {"part": "strip", "area": f"{film} %", "taken_at": made + dt.timedelta(hours=1), "who": "pictures"}
            swatch_readings.add(store, 3, key=uuid.uuid4().hex, reads=Reads.TONE, value=printed, **about)


def hire(database: Path) -> None:
    """Give the shop an owner and somebody who may only look."""
    with opening.open_database(str(database)) as store:
        accounts.add_first_owner(store, "Olga", PASSWORD)
        people.take_in(store, "Vera", "viewer", password=PASSWORD, who="Olga")


def at_the_press(page: Page, address: str) -> None:
    """Set up in part, print, spoil a piece."""
    page.goto(f"{address}/press/5")
    for _ in range(2):
        before = page.locator(".step.done").count()
        page.locator(".step:not(.done)").first.click()
        page.locator(".step.done").nth(before).wait_for()
    page.locator("#count-pieces").fill("18")
    page.locator("[data-entry=count] button").click()
    page.get_by_text("18 good pieces").wait_for()
    page.locator("#cause").select_option("pinhole")
    page.get_by_role("button", name="Add misprint").click()
    page.get_by_text("1 misprint, pinhole").wait_for()


def catalogue(page: Page, address: str) -> None:
    """What the import of a mill's catalogue would do."""
    page.goto(f"{address}/catalogue")
    page.locator("#file").set_input_files({"name": "mill.csv", "mimeType": "text/csv", "buffer": CATALOGUE})
    page.get_by_role("button", name="Look at it").click()
    page.get_by_role("button", name="See the result").click(timeout=120_000)
    page.wait_for_url("**/catalogue/*")


def readings(page: Page, address: str) -> None:
    """What the import of an instrument's file would keep."""
    page.goto(f"{address}/lab/import")
    page.locator("#file").set_input_files({"name": "readings.csv", "mimeType": "text/csv", "buffer": READINGS})
    page.locator("#light").select_option(index=1)
    page.get_by_role("button", name="Look at it").click()
    page.wait_for_load_state("networkidle")


def archive(page: Page, address: str) -> None:
    """A piece of long work that failed: the file is no archive."""
    page.goto(f"{address}/shop/exchange")
    page.locator("#file").set_input_files({"name": "a.zip", "mimeType": "application/zip", "buffer": b"none"})
    page.get_by_role("button", name="Look at it").click()
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(3000)
    page.reload()


def conflict(page: Page, address: str) -> None:
    """Somebody else kept the same ink meanwhile."""
    other = page.context.new_page()
    for one in (page, other):
        one.goto(f"{address}/shelves/inks/edit?name=Sea%20Pink")
    for one, price in ((other, "19"), (page, "20")):
        one.get_by_label("Price per kg").fill(price)
        one.get_by_role("button", name="Keep").last.click()
        one.wait_for_load_state("networkidle")
    other.close()


def form_refused(page: Page, address: str) -> None:
    """An order without what it needs."""
    page.goto(f"{address}/orders/new")
    page.evaluate("for (const f of document.forms) f.noValidate = true")
    page.get_by_role("button", name="Take it in and plan it").click()
    page.wait_for_load_state("networkidle")


def too_large(page: Page, address: str) -> None:
    """More text than a form takes."""
    page.goto(f"{address}/press/5")
    page.evaluate("document.querySelector('#note-text').value = 'x'.repeat(1500000)")
    page.evaluate("HTMLFormElement.prototype.submit.call(document.querySelector('#note-text').form)")
    page.wait_for_url("**/entries")


def stale(page: Page, address: str) -> None:
    """A form of a page that is not the app's."""
    page.goto(f"{address}/account")
    page.evaluate("document.querySelector('.look [name=csrf]').value = 'old'")
    page.get_by_role("button", name="Dark").click()
    page.wait_for_load_state("networkidle")


STATES: tuple[tuple[str, Step], ...] = (
    ("press-at-work", at_the_press),
    ("catalogue-look", catalogue),
    ("lab-import-look", readings),
    ("job-failed", archive),
    ("conflict", conflict),
    ("order-new-refused", form_refused),
    ("too-large", too_large),
    ("page-grown-old", stale),
    *(
        (name, lambda page, address, path=path: page.goto(address + path) and None)
        for name, path in (
            ("jobs", "/jobs"),
            ("log-of-work", "/log"),
            ("lab-with-swatches", "/lab"),
            ("lab-swatches-some", "/lab/swatches"),
            ("lab-swatch", "/lab/swatches/1"),
            ("lab-read", "/lab/read/1"),
            ("lab-read-choose", "/lab/read"),
            ("lab-labels", "/lab/labels?swatch=1&swatch=2"),
            ("lab-calendar-due", "/lab/calendar"),
            ("lab-cloth", f"/lab/cloths/{GARMENT.replace(' ', '%20')}?lot=L-7"),
            ("lab-measured-tone", "/lab/measured/tone"),
            ("lab-dryer", "/lab/dryers/machine/Kiln%20Lane%20gas"),
            ("lab-dryer-import", "/lab/dryers/import"),
            ("lab-dryer-match", "/lab/dryers/machine/Kiln%20Lane%20gas/match"),
            ("order-version", "/orders/5/versions/1"),
        )
    ),
)


def at_the_door(page: Page, address: str, database: Path) -> Iterator[str]:
    """Lead through the door with a login; each name given is a picture to take."""
    page.goto(f"{address}/shelves")
    yield "login"

    def try_with(name: str, password: str) -> None:
        page.get_by_label("Name").fill(name)
        page.get_by_label("Password").fill(password)
        with page.expect_navigation():
            page.get_by_role("button", name="Log in").click()

    try_with("Vera", PASSWORD)
    for name, path in (("today-of-a-viewer", "/"), ("account-of-a-person", "/account"), ("not-for-you", "/people")):
        page.goto(address + path)
        yield name
    with closing(sqlite3.connect(database)) as broken:
        broken.execute("ALTER TABLE orders RENAME TO orders_gone")
        page.goto(f"{address}/orders")
        yield "fault"
        broken.execute("ALTER TABLE orders_gone RENAME TO orders")
    page.goto(f"{address}/account")
    page.get_by_role("button", name="Log out").click()
    page.get_by_role("button", name="Log in").wait_for()
    try_with("Olga", "not the one")
    yield "login-refused"
    for _ in range(6):
        if not page.get_by_text("Too many tries").count():
            page.goto(f"{address}/login")
            try_with("Olga", "not the one")
    yield "too-many-tries"


def shoot(page: Page, name: str, out: Path, widths: tuple[int, ...]) -> None:
    """Take six pictures of a page as it stands."""
    page.evaluate("for (const one of document.images) one.loading = 'eager'")
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        for width in widths:
            page.set_viewport_size({"width": width, "height": 900})
            page.wait_for_timeout(60)
            page.screenshot(path=out / f"{name}-{scheme}-{width}.png", full_page=True)


def sheets(page: Page, address: str, out: Path) -> None:
    """Take pictures of what is printed: the ticket, and labels on each kind of sheet."""
    import pypdfium2

    some = "/lab/labels.pdf?swatch=1&swatch=2&swatch=3"
    for name, path in (
        ("paper-ticket", "/orders/5/plans/1/ticket.pdf"),
        ("paper-labels-a4", f"{some}&sheet=a4"),
        ("paper-labels-letter", f"{some}&sheet=letter"),
        ("paper-labels-small", f"{some}&size=50x30"),
    ):
        pages = pypdfium2.PdfDocument(page.request.get(address + path, timeout=120_000).body())
        for number, one in enumerate(pages):
            one.render(scale=2).to_pil().save(out / f"{name}-{number + 1}.png")


def still(browser: Browser) -> Page:
    """Page of a person of its own, without motion."""
    return browser.new_context(reduced_motion="reduce", viewport={"width": 1440, "height": 900}).new_page()

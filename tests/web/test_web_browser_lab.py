"""The lab in a browser: a swatch started by keyboard within a minute, readings that wait, every page for everyone."""

import datetime as dt
import shutil
import time
import uuid

import pytest
from order_browser import CHROMIUM, FLAGS, free_port, listen, served, wrong_on
from playwright.sync_api import expect, sync_playwright

from laydown.domain.measurement import ColourMeasurement, Conditions
from laydown.domain.protocol import Reads
from laydown.services import opening, swatch_readings, swatch_start
from laydown.services.swatch_start import PassWish

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not CHROMIUM.exists(), reason="there is no chromium here")]

GARMENT = "Quayside tee black"
PAGES = ("", "/swatches", "/swatches/1", "/read/1", "/start", "/protocols", "/protocols/oven-bleed", "/import")
MORE = (
    "/cloths",
    f"/cloths/{GARMENT}?lot=L-7",
    "/repeatability",
    "/calendar",
    "/list",
    "/measured",
    "/measured/transfer",
    "/measured/tone",
    "/labels?swatch=1&swatch=2",
)


@pytest.fixture(scope="module")
def lab(demo_database, tmp_path_factory):
    """Address of the demo shop with a swatch that is read in part, and one that is only cloth."""
    folder = tmp_path_factory.mktemp("lab")
    shutil.copy(demo_database, folder / "laydown.sqlite")
    made = dt.datetime.now(dt.UTC) - dt.timedelta(days=3)
    with opening.open_database(str(folder / "laydown.sqlite")) as store:
        passes = [PassWish(**one) for one in swatch_start.usual_passes(swatch_start.choices(store))]
        common = {"garment": GARMENT, "lot": "L-7", "who": "Lea", "made_at": made}
        # A wash tells nothing of bleed, so no fit is asked for.
        swatch_start.start_from_cloth(store, protocol="drawdown", key="browser-1", passes=passes, **common)
        swatch_start.start_from_cloth(store, protocol="foil-x10", key="browser-2", **common)
        for lightness in (88.0, 88.3):
            value = ColourMeasurement(
                name="w", lab=(lightness, 1.0, 2.0), conditions=Conditions(illuminant="D65", observer="10")
            )
            swatch_readings.add(
                store,
                1,
                key=uuid.uuid4().hex,
                reads=Reads.COLOUR,
                value=value,
                taken_at=made + dt.timedelta(hours=1),
                part="film",
                who="Pit",
            )
        swatch_start.start_from_cloth(store, protocol="tone-strip", key="browser-3", passes=passes, **common)
        for film, printed in ((10, 0.14), (30, 0.42), (50, 0.65), (90, 0.96)):
            about = {"part": "strip", "area": f"{film} %", "taken_at": made + dt.timedelta(hours=1), "who": "Pit"}
            swatch_readings.add(store, 3, key=uuid.uuid4().hex, reads=Reads.TONE, value=printed, **about)
    with served(folder, free_port(), worker=False) as address:
        yield address


@pytest.fixture(scope="module")
def chromium():
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        yield browser
        browser.close()


def test_a_swatch_is_started_by_keyboard_within_a_minute(chromium, lab):
    page = chromium.new_page(viewport={"width": 1440, "height": 900})
    page.goto(f"{lab}/lab")
    begun = time.monotonic()
    page.get_by_role("button", name="Start a swatch", exact=True).focus()
    page.keyboard.press("Enter")
    page.locator("#lot").focus()
    page.keyboard.type("L-9")
    # From the lot to the button there is nothing that the keyboard cannot leave.
    for _ in range(60):
        if page.evaluate("document.activeElement.textContent") == "Start it":
            break
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.get_by_role("heading", name="Swatch 4").wait_for()
    assert time.monotonic() - begun < 60
    expect(page.get_by_text("L-9").first).to_be_visible()
    page.close()


def test_readings_wait_while_the_network_is_gone_and_are_kept_once(chromium, lab):
    context = chromium.new_context(viewport={"width": 820, "height": 1180})
    page = context.new_page()
    page.goto(f"{lab}/lab/read/2")
    context.set_offline(True)
    page.get_by_role("button", name="4-5", exact=True).first.click()
    page.locator("button.step").first.click()
    page.get_by_text("2 entries wait here").wait_for()
    queued = page.evaluate("localStorage.getItem('laydown-lab-queue')")

    context.set_offline(False)
    page.get_by_text("grade 4-5").wait_for(timeout=30_000)
    # The answer got lost on the way back, so the page sends all of it once more.
    page.evaluate("queued => localStorage.setItem('laydown-lab-queue', queued)", queued)
    page.reload()
    end = time.monotonic() + 60
    while page.evaluate("JSON.parse(localStorage.getItem('laydown-lab-queue')).length"):
        assert time.monotonic() < end
        page.wait_for_timeout(50)
    found = page.request.get(f"{lab}/api/lab/swatches/2").json()
    assert [one["value"] for one in found["readings"]] == [{"grade": 4.5}]
    context.close()


def test_every_page_of_the_lab_is_for_everyone(chromium, lab):
    judged = chromium.new_context(bypass_csp=True, reduced_motion="reduce").new_page()
    said: list[str] = []
    listen(judged, said)
    wrong: list[str] = []
    for place in (*PAGES, *MORE):
        judged.goto(f"{lab}/lab{place}")
        wrong += wrong_on(judged, place)
    assert wrong == []
    assert said == []
    judged.context.close()

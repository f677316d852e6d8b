"""In a browser: shelves, people and the doors, for everyone, by keyboard, with nothing from elsewhere."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from order_browser import CHROMIUM, FLAGS, free_port, listen, served, wrong_on
from playwright.sync_api import expect, sync_playwright
from web_clients import PASSWORD

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not CHROMIUM.exists(), reason="there is no chromium here")]

WHITE = "name=Chalk%20Cotton%20White"
PAGES = (
    "/shelves",
    *(f"/shelves/{kind}" for kind in ("garments", "inks", "screens", "meshes", "presses", "dryers", "rules")),
    *(f"/shelves/{kind}" for kind in ("costs", "climate", "practice", "preferences", "shop")),
    "/shelves/inks?q=nothing-fits",
    f"/shelves/inks/item?{WHITE}",
    f"/shelves/inks/edit?{WHITE}",
    "/shelves/dryers/item?name=Potting%20Shed%20electric",
    "/shelves/dryers/edit?name=Potting%20Shed%20electric",
    "/shelves/rules/edit?name=unknown%20dye%20on%20polyester",
    "/shelves/garments/new",
    "/shelves/costs/edit?name=costs",
    "/catalogue",
    "/shop/exchange",
    "/people",
    "/account",
    "/log",
    "/log?kind=inks",
    "/jobs",
    "/programs",
    "/lab/looking-back",
    "/lab/looking-back?example=1",
    "/no/such/page",
)
CATALOGUE = b"Style,Colour,Fibre,Structure\nWharf tee,Black,100% cotton,jersey\nWharf hood,Navy,100% cotton,felt\n"


@pytest.fixture(scope="module")
def chromium():
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def address(demo_database, tmp_path_factory):
    folder = tmp_path_factory.mktemp("shelves")
    shutil.copy(demo_database, folder / "laydown.sqlite")
    with served(folder, free_port()) as found:
        yield found


@pytest.fixture
def with_login(staffed_database, tmp_path):
    """Address of an app with a login, started as people start it."""
    shutil.copy(staffed_database, tmp_path / "laydown.sqlite")
    yield from _started(tmp_path, "--login")


def _started(folder, *arguments):
    command = [str(Path(sys.executable).with_name("laydown")), "serve", "--port", "0", "--data", str(folder)]
    process = subprocess.Popen([*command, *arguments], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True)
    try:
        told = ""
        for line in process.stdout:
            told += line
            if line.startswith("stop with"):
                break
        yield re.search(r"http://\S+", told)[0], told
    finally:
        process.terminate()
        process.communicate(timeout=30)


def expected(at):
    """Status of a page."""
    return 404 if at == "/no/such/page" else 200


def test_every_page_is_for_everyone(chromium, address):
    context = chromium.new_context(bypass_csp=True, reduced_motion="reduce")
    page = context.new_page()
    wrong = []
    for at in PAGES:
        answer = page.goto(address + at)
        wrong += wrong_on(page, at) + ([f"{at} answers {answer.status}"] if answer.status != expected(at) else [])
    context.close()
    assert wrong == []


def test_the_pages_of_the_door_are_for_everyone(chromium, tmp_path, with_login):
    address, _ = with_login
    context = chromium.new_context(bypass_csp=True, reduced_motion="reduce")
    page = context.new_page()
    page.goto(f"{address}/shelves")
    wrong = wrong_on(page, page.url)
    for password in ("not the one", PASSWORD):
        page.get_by_label("Name").fill("Olga")
        page.get_by_label("Password").fill(password)
        with page.expect_navigation():
            page.get_by_role("button", name="Log in").click()
        wrong += wrong_on(page, f"{page.url} after {password}")
    for at in ("/account", "/people"):
        page.goto(address + at)
        wrong += wrong_on(page, at)
    context.clear_cookies()
    for _ in range(6):
        page.goto(f"{address}/login")
        page.get_by_label("Name").fill("Olga")
        page.get_by_label("Password").fill("not the one")
        with page.expect_navigation():
            page.get_by_role("button", name="Log in").click()
    expect(page.get_by_text("Wait that long, then try again.")).to_be_visible()
    wrong += wrong_on(page, "too many tries")
    for new, _ in _started(tmp_path / "new"):
        page.goto(new)
        wrong += wrong_on(page, page.url)
        page.get_by_label("Name of the shop").fill("Quay Prints")
        with page.expect_navigation():
            page.get_by_role("button", name="Start empty").click()
        for at in ("/", "/orders", "/lab", "/lab/start", "/lab/dryers", "/lab/dryers/import", "/shelves/presses"):
            page.goto(new + at)
            wrong += wrong_on(page, f"{at} of an empty shop")
    context.close()
    assert wrong == []


def test_what_an_import_says_and_what_is_refused_is_for_everyone(chromium, address):
    context = chromium.new_context(bypass_csp=True, reduced_motion="reduce")
    page = context.new_page()
    wrong = []

    def send(at, name, content):
        page.goto(address + at)
        page.locator("#file").set_input_files({"name": name, "mimeType": "application/octet-stream", "buffer": content})
        with page.expect_navigation():
            page.get_by_role("button", name="Look at it").click()

    send("/catalogue", "mill.csv", CATALOGUE)
    page.get_by_role("button", name="See the result").click(timeout=60_000)
    expect(page.get_by_role("heading", name="What is wrong, by row")).to_be_visible()
    wrong += wrong_on(page, "a catalogue")
    send("/shop/exchange", "shop.zip", b"none")
    page.get_by_role("button", name="Choose another file").wait_for(timeout=60_000)
    wrong += wrong_on(page, "work that failed")
    page.goto(f"{address}/jobs")
    wrong += wrong_on(page, "work")

    page.goto(f"{address}/account")
    page.evaluate("document.querySelector('.look [name=csrf]').value = 'old'")
    with page.expect_navigation():
        page.get_by_role("button", name="Dark").click()
    expect(page.get_by_text("Go back, load the page again")).to_be_visible()
    wrong += wrong_on(page, "a page that grew old")
    page.goto(f"{address}/account")
    page.evaluate("document.querySelector('.look [name=csrf]').value = 'x'.repeat(1500000)")
    with page.expect_navigation():
        page.get_by_role("button", name="Dark").click()
    expect(page.get_by_text("Go back and send a smaller file, or a shorter text.")).to_be_visible()
    wrong += wrong_on(page, "a body that is too large")
    context.close()
    assert wrong == []


def test_nothing_comes_from_elsewhere_and_the_console_is_silent(chromium, address):
    page = chromium.new_page()
    said: list[str] = []
    asked: list[str] = []
    listen(page, said)
    page.on("request", lambda request: asked.append(request.url))
    for at in PAGES:
        page.goto(address + at)
    page.close()
    assert asked
    assert [url for url in asked if not url.startswith((address, "data:"))] == []
    assert [one for one in said if "404" not in one] == []


def test_the_browser_runs_nothing_that_was_slipped_into_a_page(chromium, address):
    page = chromium.new_page()
    page.goto(f"{address}/shelves")
    page.evaluate(
        "() => { const s = document.createElement('script'); s.textContent = 'window.slipped = 1';"
        "document.body.append(s); document.body.insertAdjacentHTML('beforeend', '<img src=x onerror=\"slipped = 2\">');"
        "const t = document.createElement('style'); t.textContent = 'h1 { display: none }'; document.body.append(t); }"
    )
    page.wait_for_timeout(300)
    assert page.evaluate("typeof window.slipped") == "undefined"
    expect(page.locator("h1")).to_be_visible()
    page.close()


def test_an_ink_is_changed_by_keyboard_alone(chromium, address):
    page = chromium.new_page(viewport={"width": 820, "height": 900})
    page.goto(f"{address}/shelves/inks")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    assert page.evaluate("document.activeElement.getBoundingClientRect().left") >= 0
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "content"

    def tab_to(text):
        for _ in range(200):
            page.keyboard.press("Tab")
            label = page.evaluate(
                "(e => (e.labels && e.labels[0] ? e.labels[0].textContent : e.textContent).trim())"
                "(document.activeElement)"
            )
            if label.startswith(text):
                outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
                assert outline == "solid", f"{text} shows no focus"
                return
        raise AssertionError(f"{text} cannot be reached")

    tab_to("Sea Pink")
    page.keyboard.press("Enter")
    page.wait_for_url("**/item?name=Sea*")
    tab_to("Change")
    page.keyboard.press("Enter")
    page.wait_for_url("**/edit?name=Sea*")
    tab_to("Price per kg")
    page.keyboard.press("Control+A")
    page.keyboard.type("18.25")
    page.keyboard.press("Enter")
    page.wait_for_url("**/item?name=Sea*")
    expect(page.get_by_text("18.25")).to_be_visible()
    page.close()


def test_two_people_edit_the_same_ink_and_nothing_is_lost(chromium, with_login):
    address, _ = with_login
    pages = {}
    for name in ("Olga", "Lea"):
        page = chromium.new_context().new_page()
        page.goto(f"{address}/login?next=%2Fshelves%2Finks%2Fedit%3Fname%3DSea%2520Pink")
        page.get_by_label("Name").fill(name)
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Log in").click()
        page.wait_for_url("**/edit?name=Sea*")
        pages[name] = page
    pages["Lea"].get_by_label("Price per kg").fill("19")
    pages["Lea"].get_by_role("button", name="Keep").last.click()
    pages["Lea"].wait_for_url("**/item?name=Sea*")
    olga = pages["Olga"]
    olga.get_by_label("Price per kg").fill("20")
    olga.get_by_label("Note beside it").fill("for the fair")
    olga.get_by_role("button", name="Keep").last.click()
    expect(olga.get_by_text("was changed by Lea meanwhile")).to_be_visible()
    expect(olga.get_by_text("Now there: 19")).to_be_visible()
    assert olga.get_by_label("Price per kg").input_value() == "20"
    assert olga.get_by_label("Note beside it").input_value() == "for the fair"
    olga.get_by_role("button", name="Keep").last.click()
    olga.wait_for_url("**/item?name=Sea*")
    expect(olga.get_by_text("for the fair")).to_be_visible()
    for page in pages.values():
        page.context.close()


def test_the_first_owner_comes_in_with_the_code_and_leaves_no_page_of_the_press_behind(chromium, tmp_path):
    for address, told in _started(tmp_path, "--login"):
        code = re.search(r"enter the code (\w+)", told)[1]
        context = chromium.new_context(bypass_csp=True, reduced_motion="reduce")
        page = context.new_page()
        page.goto(address)
        assert wrong_on(page, page.url, schemes=("dark",)) == []
        page.get_by_label("Code from the console").fill(code)
        page.get_by_label("Your name").fill("Olga")
        page.get_by_label("Password").fill(PASSWORD)
        page.get_by_role("button", name="Become the owner").click()
        page.get_by_role("button", name="Take the demo shop").click()
        page.goto(f"{address}/shelves/inks")
        expect(page.get_by_role("link", name="Sea Pink")).to_be_visible()
        page.goto(f"{address}/press/1")
        page.locator("html[data-kept]").wait_for(state="attached")
        page.evaluate("localStorage.setItem('laydown-press-queue', '[]')")
        page.goto(f"{address}/account")
        page.get_by_role("button", name="Log out").click()
        page.get_by_role("button", name="Log in").wait_for()
        # Whoever takes the tablet next gets no page of the last one, and what waits to be sent is still there.
        page.wait_for_function("caches.has('laydown-press').then((there) => !there)")
        assert page.evaluate("localStorage.getItem('laydown-press-queue')") == "[]"
        context.set_offline(True)
        page.goto(f"{address}/press/1")
        expect(page.locator("body")).to_contain_text("was not opened on this device before")
        context.close()


def test_the_look_is_chosen_and_stays(chromium, address):
    context = chromium.new_context(color_scheme="light")
    page = context.new_page()
    page.goto(f"{address}/shelves")
    ground = "getComputedStyle(document.body).backgroundColor"
    light = page.evaluate(ground)
    with page.expect_navigation():
        page.get_by_role("button", name="Dark").click()
    assert page.url == f"{address}/shelves"
    assert page.evaluate(ground) != light
    page.goto(f"{address}/log")
    assert page.get_by_role("button", name="Dark").get_attribute("aria-pressed") == "true"
    context.close()

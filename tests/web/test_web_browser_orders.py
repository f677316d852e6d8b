"""In a browser: a newcomer's way from nothing to a misprint in the log, entries that wait, every page for everyone."""

import io
import json
import re
import shutil
import time
from importlib.resources import files

import pytest
from order_browser import CHROMIUM, FLAGS, free_port, listen, served, wrong_on
from order_steps import COTTON, plan_text
from playwright.sync_api import expect, sync_playwright

from laydown.services import opening
from laydown.store import orders, plans
from planned import POLYESTER, TWO_PRINTS, invented_shop

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not CHROMIUM.exists(), reason="there is no chromium here")]

LIGHTHOUSE = files("laydown.data") / "orders" / "art"


@pytest.fixture(scope="module")
def chromium():
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def shop(demo_database, tmp_path_factory):
    """Folder with the demo shop and plans of four of its orders, served; gives address and numbers of the orders."""
    folder = tmp_path_factory.mktemp("served")
    shutil.copy(demo_database, folder / "laydown.sqlite")
    numbers = {}
    with opening.open_database(str(folder / "laydown.sqlite")) as store, store.write(who="tests") as tx:
        known = {one.name: one.id for one in orders.find(tx, limit=100)[0]}
        for key in (COTTON, POLYESTER, TWO_PRINTS):
            name = json.loads(plan_text(key))["order"]["name"]
            numbers[key] = known[name]
            plans.add(tx, known[name], plan_text(key), invented_shop(), order_version=1)
    with served(folder, free_port()) as address:
        yield address, numbers


def test_a_newcomer_gets_from_nothing_to_a_misprint_in_the_log(chromium, tmp_path):
    import pypdfium2
    import zxingcpp

    said: list[str] = []
    art = next(one for one in LIGHTHOUSE.iterdir() if one.name.startswith("lighthouse"))
    with served(tmp_path, free_port()) as address:
        page = chromium.new_page(viewport={"width": 1440, "height": 900})
        listen(page, said)
        page.goto(address)
        page.get_by_role("button", name="Take the demo shop").click()
        page.get_by_role("button", name="New order").click()

        begun = time.monotonic()
        page.locator("#p0_art").set_input_files({"name": art.name, "mimeType": "", "buffer": art.read_bytes()})
        page.locator("#p0_width").fill("250")
        page.locator("#garment").fill("50% cotton 50% polyester")
        page.locator("#garment").blur()
        page.locator("#structure").select_option("jersey")
        page.locator("#mass").fill("170")
        page.locator("#colour").fill("#16335b")
        page.locator("#quantity").fill("120")
        page.get_by_role("button", name="Take it in and plan it").click()
        page.wait_for_url(re.compile(r"/jobs/\d+"))
        assert time.monotonic() - begun < 60

        page.get_by_role("button", name="See the result").click(timeout=300_000)
        page.wait_for_url(re.compile(r"/plans/\d+"))
        plan = page.url
        expect(page.locator("#p0-section-title")).to_have_count(1)
        page.locator("select[name=hits1]").first.select_option("3")
        page.locator(".verdict").wait_for(timeout=60_000)
        page.locator("input[name=quantity]").first.fill("60")
        page.get_by_text("quantity 120 → 60").first.wait_for(timeout=60_000)

        page.get_by_role("link", name="Say at which address tablets open the app").click()
        page.get_by_label("Address that tablets open").fill(address)
        page.get_by_role("button", name="Keep", exact=True).first.click()
        page.goto(plan)
        ticket = page.request.get(plan + "/ticket.pdf", timeout=120_000)
        sheet = pypdfium2.PdfDocument(io.BytesIO(ticket.body()))[0].render(scale=4).to_pil()
        (code,) = zxingcpp.read_barcodes(sheet)
        assert code.text.startswith(address + "/press/")

        page.get_by_role("button", name="Approve for the press").click()
        page.goto(code.text)
        step = page.locator(".step").first
        step.click()
        page.locator(".step.done").wait_for()
        page.locator("#cause").select_option("pinhole")
        page.get_by_role("button", name="Add misprint").click()
        page.get_by_text("1 misprint, pinhole").wait_for()
        page.goto(address + "/log")
        assert "press entry" in page.content()
        page.close()
    assert [one for one in said if "status of 422" not in one] == []


def test_what_if_answers_every_change_with_its_own_figure(chromium, shop):
    address, numbers = shop
    page = chromium.new_page()
    # The app has only just started, and draws the plans of open orders ahead.
    page.goto(f"{address}/orders/{numbers[POLYESTER]}/plans/1", timeout=120_000)
    for value in range(100, 106):
        page.locator("input[name=quantity]").fill(str(value))
        page.get_by_text(f"→ {value}").wait_for(timeout=120_000)
    page.close()


def test_the_press_page_opens_without_a_network_and_its_entries_are_kept_once(chromium, shop):
    address, numbers = shop
    context = chromium.new_context(viewport={"width": 820, "height": 1180})
    page = context.new_page()
    page.goto(f"{address}/press/{numbers[COTTON]}")
    page.locator("html[data-kept]").wait_for(state="attached")
    context.set_offline(True)
    for pieces in ("7", "11"):
        page.locator("#count-pieces").fill(pieces)
        page.locator("[data-entry=count] button").click()
    page.get_by_text("2 entries wait here").wait_for()
    page.reload()
    page.get_by_text("2 entries wait here").wait_for()
    expect(page.locator("[data-total=count]")).to_have_text("18")
    ground = "getComputedStyle(document.querySelector('.head-number')).backgroundColor"
    assert page.evaluate(ground) != "rgba(0, 0, 0, 0)"
    page.goto(f"{address}/press/9999")
    assert "was not opened on this device before" in page.content()
    page.goto(f"{address}/press/{numbers[COTTON]}")
    queued = page.evaluate("localStorage.getItem('laydown-press-queue')")

    context.set_offline(False)
    page.get_by_text("11 good pieces").wait_for(timeout=30_000)
    # The answer got lost on the way back, so the page sends all of it once more.
    page.evaluate("queued => localStorage.setItem('laydown-press-queue', queued)", queued)
    page.reload()
    until(page, "JSON.parse(localStorage.getItem('laydown-press-queue')).length === 0")
    found = page.request.get(f"{address}/api/press/{numbers[COTTON]}").json()
    assert found["printed"] == 18
    context.close()


def test_orders_plans_and_the_press_are_worked_by_keyboard_alone(chromium, shop):
    address, numbers = shop
    page = chromium.new_page(viewport={"width": 820, "height": 900})
    keys = page.keyboard

    page.goto(f"{address}/orders/new")
    size = (("p0_width", "280"), ("p0_height", "320"))
    ink = (("p0_inks", "white"), ("p0_coverage", "30"))
    order = (("garment", "Quayside tee black"), ("name", "By keyboard"), ("quantity", "24"))
    for name, text in (*size, ("", ""), *ink, *order):
        tab_to(page, f"#{name}" if name else ".new-order summary")
        keys.type(text or "\n")
    tab_to(page, "[name=then]")
    keys.press("Space")
    page.wait_for_url(re.compile(r"/orders/\d+$"))
    tab_to(page, "a[href$='/edit']")
    keys.press("Space")
    page.wait_for_url("**/edit")

    page.goto(f"{address}/orders/{numbers[POLYESTER]}/plans/1")
    tab_to(page, "#day-0")
    keys.press("Home")
    for _ in range(5):
        keys.press("ArrowRight")
    expect(page.locator(".day-form output")).to_have_text("day 5")
    expect(page.locator(".day-words")).to_contain_text("blended from day 2 and day 7")
    shown = [one.evaluate("e => e.style.opacity") for one in page.locator(".days figure:visible").all()]
    assert shown == ["1", "0.6"]
    keys.press("End")
    assert page.locator(".days figure:visible").get_attribute("data-day") == "60"
    tab_to(page, "#quantity-0")
    keys.press("Control+A")
    keys.type("44")
    page.get_by_text("→ 44").wait_for(timeout=120_000)
    tab_to(page, "#q-0")
    keys.type("barrier")
    page.get_by_text(re.compile(r"^\d+ of \d+ shown")).wait_for()
    tab_to(page, "#sort-0")
    keys.press("ArrowDown")
    assert page.locator("#sort-0").input_value() == "stage"

    page.goto(f"{address}/press/{numbers[TWO_PRINTS]}")
    tab_to(page, ".step")
    keys.press("Space")
    page.locator(".step.done").wait_for()
    tab_to(page, "#count-pieces")
    keys.type("6")
    keys.press("Enter")
    page.get_by_text("6 good pieces").wait_for()
    page.close()


def tab_to(page, selector):
    """Go on by the tabulator to the first of what is named; on the way, whatever has the focus shows it and is seen."""
    for _ in range(120):
        page.keyboard.press("Tab")
        found = page.evaluate(
            """selector => {
              const e = document.activeElement, box = e.getBoundingClientRect(), style = getComputedStyle(e);
              const [x, y] = [box.left + Math.min(box.width, 40) / 2, box.top + Math.min(box.height, 40) / 2];
              const top = document.elementFromPoint(x, y);
              const seen = top && (e.contains(top) || top.contains(e));
              const there = e === document.querySelector(selector);
              return [there, style.outlineStyle, Boolean(seen), e.outerHTML.slice(0, 120)];
            }""",
            selector,
        )
        assert found[1] == "solid", f"no focus is seen on {found[3]}"
        assert found[2], f"something lies over {found[3]}"
        if found[0]:
            return
    raise AssertionError(f"{selector} cannot be reached")


def test_without_scripts_what_if_and_the_days_are_forms(chromium, shop):
    address, numbers = shop
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{address}/orders/{numbers[POLYESTER]}/plans/1")
    page.locator("input[name=quantity]").fill("33")
    page.get_by_role("button", name="Forecast it").click()
    expect(page.get_by_text("quantity 72 → 33")).to_have_count(1)
    page.locator("select[name=day]").select_option("60")
    page.get_by_role("button", name="Show", exact=True).first.click()
    page.locator("figure[data-day='60']").wait_for()
    page.goto(f"{address}/press/{numbers[POLYESTER]}")
    page.locator("#count-pieces").fill("5")
    page.locator("[data-entry=count] button").click()
    page.get_by_text("5 good pieces").wait_for()
    expect(page.get_by_text("5 good pieces")).to_have_count(1)
    context.close()


def test_every_page_is_for_everyone(chromium, shop):
    address, numbers = shop
    said: list[str] = []
    cotton, polyester, two = (numbers[key] for key in (COTTON, POLYESTER, TWO_PRINTS))
    # The checker's script gets in only where the page's policy is off; what the policy says is heard on another page.
    strict = chromium.new_context()
    open_ = chromium.new_context(bypass_csp=True, reduced_motion="reduce")
    looked, judged = strict.new_page(), open_.new_page()
    listen(looked, said)
    wrong: list[str] = []
    for at in (
        "/",
        "/orders",
        "/orders?q=nothing-fits",
        "/orders/new",
        f"/orders/{cotton}",
        f"/orders/{cotton}/edit",
        f"/orders/{cotton}/versions/1",
        f"/orders/{polyester}/plans/1",
        f"/orders/{two}/plans/1",
        f"/orders/{two}/compare?a=1&b=1",
        f"/orders/{polyester}/plans/1/explain?path=cure.margin_k",
        f"/press/{two}",
        f"/press/{cotton}",
        "/press/2",
    ):
        looked.goto(address + at)
        judged.goto(address + at)
        wrong += wrong_on(judged, at)
    strict.close()
    open_.close()
    assert wrong == []
    assert said == []


def until(page, expression, **_):
    """Wait until an expression is true; the page's own policy forbids the browser to evaluate texts by itself."""
    end = time.monotonic() + 60
    while not page.evaluate(expression):
        assert time.monotonic() < end, expression
        page.wait_for_timeout(50)

"""In a browser: from a logger's file to a dryer that plans use; its pages and those of looking back for everyone."""

import datetime as dt
import re
import shutil
import sys
from pathlib import Path

import numpy as np
import pytest
from order_browser import CHROMIUM, FLAGS, free_port, listen, served, wrong_on
from playwright.sync_api import expect, sync_playwright

from laydown.domain.outcome import Claim
from laydown.domain.probe_check import CheckKind, ProbeCheck
from laydown.services import dryer_watch, looking_back, opening

sys.path.append(str(Path(__file__).parents[1] / "lab"))
from synthetic_probe import SHOP, as_csv, draw, written_log

pytestmark = [pytest.mark.slow, pytest.mark.skipif(not CHROMIUM.exists(), reason="there is no chromium here")]

KILN = "Kiln Lane gas"
PAGE = "/lab/dryers/machine/Kiln%20Lane%20gas"


def test_a_log_becomes_a_dryer_and_every_page_is_for_everyone(demo_database, tmp_path):
    shutil.copy(demo_database, tmp_path / "laydown.sqlite")
    with opening.open_database(str(tmp_path / "laydown.sqlite")) as store:
        for i, value in enumerate((160, 161, 159, 160, 160.5, 161, 160, 159.5, 166)):
            day = dt.datetime(2026, 11, 1 + i, 7, tzinfo=dt.UTC)
            check = ProbeCheck(machine=KILN, kind=CheckKind.PEAK, value=value + 273.15, happened_at=day)
            dryer_watch.enter(store, check, key=f"check-{i:04d}", who="tests")
        cracked = Claim(order=1, cause="cracked", pieces=2, received_on=dt.date(2026, 11, 20), text="after a wash")
        looking_back.enter_claim(store, cracked, key="claim-0001", who="tests", today=dt.date(2026, 11, 25))
    rng = np.random.default_rng(5)
    log, _ = written_log(SHOP.dryers[0], draw(SHOP.dryers[0], rng), rng)
    said: list[str] = []
    with served(tmp_path, free_port(), worker=False) as address, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        page = browser.new_page(viewport={"width": 820, "height": 1180})
        listen(page, said)
        page.goto(f"{address}{PAGE}")
        page.get_by_label("Today's check [°C]").first.fill("160")
        page.get_by_role("button", name="Enter").first.click()
        expect(page.get_by_text("lay above its limit on one check")).to_have_count(1)
        page.get_by_role("button", name="Import a probe log").click()
        page.locator("#file").set_input_files({"name": "kiln.csv", "mimeType": "text/csv", "buffer": as_csv(log)})
        page.get_by_label("Panel setting [°C]").fill("330")
        page.get_by_label(re.compile("Ink on it")).fill("100")
        page.get_by_role("button", name="Look at it").click()
        expect(page.get_by_text("Temperatures are in °C, as the head says")).to_have_count(1)
        page.get_by_role("button", name="Keep the log").click()
        page.wait_for_url(re.compile(r"/lab/dryers/log/\d+"))
        number = page.url.rpartition("/")[2]
        page.get_by_role("button", name=f"Fit {KILN} to it").click()
        page.get_by_role("button", name="Use it in plans").click()
        expect(page.get_by_role("status").get_by_text("The fitted machine stands on the shelf now")).to_have_count(1)
        page.close()
        back = ("/lab/looking-back?correct=1", "/lab/looking-back?example=yes")
        addresses = ("/lab/dryers", PAGE, "/lab/dryers/import", f"/lab/dryers/log/{number}", f"{PAGE}/fit?log={number}")
        context = browser.new_context(bypass_csp=True, reduced_motion="reduce")
        page = context.new_page()
        listen(page, said)
        wrong: list[str] = []
        for one in (*addresses, *back, f"{PAGE}/match"):
            page.goto(address + one)
            wrong += wrong_on(page, one)
        context.close()
        browser.close()

    assert wrong == []
    assert [one for one in said if "status of 422" not in one] == []

"""The shop goes out and in without loss; a catalogue is looked at before anything is changed."""

from __future__ import annotations

import io
import json
import re
import tempfile
import zipfile
from html import unescape

import pytest
from web_clients import post, store_of, token_in, work_off

from laydown.services import exchange, job_imports, job_worker, jobs, opening, shelf_editing
from laydown.services.job_progress import Progress, Stopped

CSV = (
    "Style;Composition;Construction;GSM;Hex;Price\n"
    "Dune tee;100% cotton;jersey;180;112233;2,90\n"
    "Dune polo;60% cotton 40% polyester;pique;210;#445566;4,10\n"
    "Dune odd;50% cotton 40% polyester;jersey;190;778899;3\n"
    "Dune thin;100% cotton;jersey;3;778899;3\n"
)
ORIGIN = {"origin": "http://127.0.0.1:8300"}


def packed(files, folder="shop/"):
    """Archive of files."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        for name, content in files.items():
            archive.writestr(folder + name, content)
    return file.getvalue()


def unpacked(archive):
    """Files of an archive."""
    with zipfile.ZipFile(io.BytesIO(archive)) as file:
        return {name: file.read(name).decode() for name in file.namelist()}


def look_at(client, archive):
    """Send an archive from the page; gives the page of what it would change, or the refusal."""
    token = token_in(client.get("/shop/exchange"))
    files = {"file": ("shop.zip", archive, "application/zip")}
    answer = client.post("/shop/exchange", data={"csrf": token}, files=files, headers=ORIGIN)
    return work_off(client, answer) if answer.status_code == 303 else answer


def put_in(client, archive):
    """Look at an archive, and put it in."""
    page = look_at(client, archive)
    at = str(page.url.path)
    return work_off(client, post(client, at, at))


def test_the_shop_goes_out_and_in_without_loss(client, new_client):
    out = client.get("/shop/shop.zip")
    assert out.headers["content-type"] == "application/zip"
    token = token_in(new_client.get("/start"))
    new_client.post("/start", data={"csrf": token, "choice": "empty", "name": "Other"}, headers=ORIGIN)
    answer = put_in(new_client, out.content)
    assert "The shelves are those of Saltmarsh Press Works now" in answer.text
    assert opening.current_shop(store_of(new_client)) == opening.current_shop(store_of(client))
    assert new_client.get("/shop/shop.zip").content == out.content


def test_a_broken_archive_changes_nothing_and_names_the_place(client):
    before = opening.current_shop(store_of(client))
    out = unpacked(client.get("/shop/shop.zip").content)
    files = {name.removeprefix("shop/"): text for name, text in out.items()}
    files["inks.toml"] = files["inks.toml"].replace("fusion_c = 160", "fusion_c = 1600", 1)
    answer = look_at(client, packed(files))
    assert "failed" in answer.text
    assert "inks.toml, ink[1].fusion_c" in unescape(answer.text).casefold()
    assert tempfile.gettempdir() not in answer.text
    assert opening.current_shop(store_of(client)) == before


@pytest.mark.parametrize(
    "archive",
    [
        b"no archive at all",
        packed({}),
        packed({"../../evil.toml": "x = 1", "shop.toml": "x"}),
        packed({f"{n}.toml": "" for n in range(60)}),
        packed({"shop.toml": "a" * 60_000_000}),
        packed({"shop.toml": "[shop]"})[:-30],
    ],
)
def test_an_archive_that_is_none_is_refused(client, archive):
    before = opening.current_shop(store_of(client))
    answer = look_at(client, archive)
    assert answer.status_code == 413 or '<p class="notice bad" role="alert">' in answer.text
    assert opening.current_shop(store_of(client)) == before


def test_what_an_archive_would_change_is_told_before_it_is_put_in(client):
    before = opening.current_shop(store_of(client))
    out = unpacked(client.get("/shop/shop.zip").content)
    files = {name.removeprefix("shop/"): text for name, text in out.items()}
    files["inks.toml"] = files["inks.toml"].replace("price_per_kg = ", "price_per_kg = 1", 1)
    page = look_at(client, packed(files))
    assert "Saltmarsh Press Works: what would be changed" in page.text
    assert len(re.findall(r"<li>inks: [^<]* changed</li>", page.text)) == 1
    assert opening.current_shop(store_of(client)) == before
    at = str(page.url.path)
    post(client, at, at)
    (waiting,) = jobs.recent(store_of(client), states=("waiting",))
    assert jobs.cancel(store_of(client), waiting.id, who="Olga").state == "cancelled"
    assert "called off" in client.get(client.get(f"{at[: at.rindex('/')]}/{waiting.id}").headers["location"]).text


def looked(client):
    """Page on a catalogue that was sent."""
    token = token_in(client.get("/catalogue"))
    files = {"file": ("mill.csv", CSV.encode(), "text/csv")}
    answer = client.post("/catalogue", data={"csrf": token}, files=files, headers=ORIGIN)
    return work_off(client, answer)


def again(client, page, **more):
    """Send the page of the mapping again, with its columns."""
    hidden = re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page.text)
    fields = {name: unescape(value) for name, value in hidden}
    for name, inner in re.findall(r'<select[^>]* name="([^"]*)"[^>]*>(.*?)</select>', page.text, re.DOTALL):
        chosen = re.search(r"<option selected>([^<]*)", inner)
        if chosen:
            fields[name] = unescape(chosen[1])
    answer = client.post(page.url.path, data=fields | more, headers=ORIGIN)
    return work_off(client, answer) if answer.status_code == 303 else answer


def test_a_catalogue_is_compared_row_by_row_and_nothing_is_written(client):
    before = shelf_editing.items(store_of(client), "garments")
    page = looked(client)
    assert page.status_code == 200
    assert "<strong>2</strong> new garments" in page.text
    assert '<td class="number">4</td>' in page.text
    assert '<td class="number">5</td>' in page.text
    assert "3 g/m² is not allowed; allowed is 20 to 1000 g/m²" in page.text
    assert shelf_editing.items(store_of(client), "garments") == before


def test_a_catalogue_with_mistakes_is_imported_only_when_they_may_be_left_out(client):
    page = looked(client)
    refused = again(client, page, do="import")
    assert refused.status_code == 422
    done = again(client, page, do="import", leave_out="yes")
    assert done.status_code == 200
    assert "2 garments were added" in done.text
    polo = shelf_editing.item(store_of(client), "garments", "Dune polo").document
    assert (polo["price"], polo["mass_gsm"], polo["structure"]) == (4.1, 210.0, "pique")
    assert "<strong>2</strong> that are there already, the same" in again(client, page, do="look").text


def test_another_column_or_a_word_for_all_can_be_chosen(client):
    page = again(client, looked(client), **{"column.price": "", "fixed.dye": "reactive"})
    assert page.status_code == 200
    again(client, page, do="import", leave_out="yes", **{"fixed.dye": "reactive"})
    tee = shelf_editing.item(store_of(client), "garments", "Dune tee").document
    assert tee["dye"] == "reactive"
    assert tee.get("price", 0) == 0


def test_a_file_that_is_no_catalogue_is_refused(client):
    token = token_in(client.get("/catalogue"))
    for content in (b"", b'a,"b\n', b"a,a\n1,2\n"):
        files = {"file": ("x.csv", content)}
        assert client.post("/catalogue", data={"csrf": token}, files=files, headers=ORIGIN).status_code == 422
    assert client.post("/catalogue", data={"csrf": token}, headers=ORIGIN).status_code == 422
    plan = jobs.submit(store_of(client), "plan", {"order": 1, "version": 1}, who="Lea")
    assert client.get(f"/catalogue/{plan.id}").status_code == 404
    assert client.get(f"/shop/exchange/{plan.id}").status_code == 404


def worked(client, answer):
    """Result of the work that a program asked for."""
    assert answer.status_code == 202
    number = answer.json()["id"]
    job_worker.do_job(store_of(client), job_worker._claimed(store_of(client), "worker of the tests"))
    return client.get(f"/api/work/{number}").json()["result"]


def test_programs_put_a_shop_in_or_ask_what_it_would_change(client):
    out = client.get("/api/shop/archive").content
    for dry in ("true", "false"):
        sent = {"files": {"file": ("shop.zip", out)}, "data": {"dry_run": dry}}
        result = worked(client, client.put("/api/shop/archive", **sent))
        assert (result["done"], result.get("changes", [])) == (dry == "false", [])


def test_reading_rows_tells_how_far_it_is_and_stops_when_called_off(client):
    class Watched(Progress):
        """Calls the work off at the third row."""

        def __init__(self):
            super().__init__()
            self.shares = []

        def __call__(self, message, share=None):
            self.shares.append(share)
            if len(self.shares) == 3:
                self.stop()
            super().__call__(message, share)

    store, progress = store_of(client), Watched()
    mapping = exchange.suggested_mapping(exchange.heads_of(CSV.encode(), "mill.csv"))
    more = {"do": True, "leave_out_mistakes": True}
    asked = job_imports.ask_for_catalogue(store, CSV.encode(), "mill.csv", mapping, who="Lea", **more)
    with pytest.raises(Stopped):
        job_imports.catalogue_work(store, asked, progress)
    assert progress.shares == sorted(progress.shares)
    assert not [one for one in shelf_editing.items(store, "garments") if one.name.startswith("Dune")]


def test_programs_import_a_catalogue_as_people_do(client):
    files = {"file": ("mill.csv", CSV.encode(), "text/csv")}
    dry = worked(client, client.post("/api/garments/catalogue", files=files))
    assert (dry["done"], dry["new"]) == (False, ["Dune tee", "Dune polo"])
    assert [one["line"] for one in dry["wrong"]] == [4, 5]
    mapping = {
        "columns": {
            "name": ["Style"],
            "care_label": ["Composition"],
            "structure": ["Construction"],
            "mass_gsm": ["GSM"],
            "colour": ["Hex"],
        },
        "fixed": {"dye": "reactive"},
    }
    sent = {"mapping": json.dumps(mapping), "dry_run": "false", "leave_out_mistakes": "true"}
    assert worked(client, client.post("/api/garments/catalogue", data=sent, files=files))["done"] is True
    assert shelf_editing.item(store_of(client), "garments", "Dune tee").document["dye"] == "reactive"
    broken = client.post("/api/garments/catalogue", data={"mapping": "[1]"}, files=files)
    assert (broken.status_code, broken.json()["where"]) == (422, "mapping")

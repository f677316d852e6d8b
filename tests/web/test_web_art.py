"""Art that somebody sends: looked at when it is dropped, and taken all the way to films and pictures."""

import io
import json
import re
import zipfile

import numpy as np
import pytest
from order_steps import send_new
from PIL import Image
from test_web_orders import newest
from web_clients import post, store_of, token_in, work_off

from laydown.services import job_worker, jobs, plan_book
from laydown.store import plans

SIZE_MM = 60


def png(form="PNG"):
    """A white square of 60 mm on nothing, a quarter of it filled."""
    pixels = np.zeros((120, 120, 4), dtype=np.uint8)
    pixels[30:90, 30:90] = 255
    file = io.BytesIO()
    Image.fromarray(pixels).save(file, form, dpi=(50.8, 50.8))
    return file.getvalue()


def sent(client, address, content, called="square.png", **fields):
    field = "file" if address.endswith("/art") else "p0_art"
    token = token_in(client.get("/orders/new"))
    headers = {"origin": str(client.base_url).rstrip("/")}
    return client.post(address, data={"csrf": token, **fields}, files={field: (called, content)}, headers=headers)


def test_art_is_told_as_soon_as_it_is_dropped_and_need_not_be_sent_again(client):
    answer = sent(client, "/orders/new/art", png(), print="1")

    assert answer.status_code == 200
    assert "PNG" in answer.text
    assert "120 × 120 pixels" in answer.text
    assert "60.0 × 60.0 mm as the file says" in answer.text
    fields = dict(re.findall(r'name="(p1_art_(?:name|sha))" value="([^"]*)"', answer.text))
    assert fields["p1_art_name"] == "2-square.png"
    taken = send_new(client, then="later", p1_width="60", **fields)
    assert taken.status_code == 303
    with store_of(client).read() as tx:
        from laydown.store import orders

        assert dict(orders.version(tx, newest(client).id, 1).files) == {"art/2-square.png": fields["p1_art_sha"]}


@pytest.mark.parametrize(
    ("content", "name", "sentence"),
    [
        (b"", "empty.png", "no file|empty"),
        (b"hello, this is no picture at all", "letter.png", "."),
        (png()[:30], "cut.png", "."),
        (b"%PDF-1.7\nnothing more", "cut.pdf", "."),
    ],
    ids=["empty", "letter", "cut picture", "cut page"],
)
def test_a_file_that_cannot_be_read_is_told_at_its_field_at_once_and_again_with_the_form(
    client, content, name, sentence
):
    dropped = sent(client, "/orders/new/art", content, name)
    (said,) = re.findall(r'<p class="wrong-words" role="alert">([^<]+)</p>', dropped.text)
    assert dropped.status_code == 422
    assert re.search(sentence, said)
    assert not re.search("/tmp|0x[0-9a-f]", said)
    assert "p0_art_sha" not in dropped.text
    if content:
        whole = sent(client, "/orders/new", content, name, way="form", name="x", garment="Quayside tee black")
        assert whole.status_code == 422
        (again,) = re.findall(r'<p class="wrong-words" id="p0_art-help" role="alert">([^<]+)</p>', whole.text)
        assert again == said


def work_all(client):
    """Do all work that waits."""
    store = store_of(client)
    while (job := job_worker._claimed(store, "worker of the tests")) is not None:
        job_worker.do_job(store, job)
        assert jobs.find(store, job.id).state == "done", jobs.find(store, job.id).message


@pytest.mark.slow
def test_art_goes_all_the_way_to_films_and_pictures_that_other_programs_open(client):
    import imagecodecs
    import pypdfium2

    fields = {"way": "form", "name": "Square", "quantity": "48", "due": "2099-01-10", "garment": "Quayside tee black"}
    answer = sent(client, "/orders/new", png(), **fields, p0_place="front", p0_width=str(SIZE_MM))
    page = work_off(client, answer)
    at = str(page.url.path)
    order, number = int(at.split("/")[2]), int(at.split("/")[4])
    with store_of(client).read() as tx:
        plan = json.loads(plans.text(tx, plans.get(tx, order, number)))
    (ink,) = plan["order"]["prints"][0]["inks"]
    assert ink["coverage"] == pytest.approx(0.25, abs=0.01)
    post(client, f"{at}/work", at, kind="films")
    work_all(client)

    sheet = plan_book.sheet(store_of(client), order, number)
    days = sheet.pictures.result["prints"][0]["days"]
    with Image.open(io.BytesIO(client.get(f"{at}/pictures/{days[0]['sha256']}.png").content)) as picture:
        shown = np.asarray(picture.convert("L"), dtype=float)
        assert shown.shape == (720, 720)
    # Light ink on black cloth, in the middle quarter and nowhere else.
    assert shown[300:420, 300:420].mean() > 3 * shown[:150].mean()

    archive = zipfile.ZipFile(io.BytesIO(client.get(f"{at}/films.zip").content))
    assert archive.testzip() is None
    names = archive.namelist()
    assert sorted(names) == sorted(sheet.films.result["names"])
    tiffs = [name for name in names if name.endswith((".tif", ".tiff"))]
    plates = {one["ink"] for one in plan["prints"][0]["choice"]["passes"] if one["ink"]}
    assert len(tiffs) == len(plates) >= 1
    for name in tiffs:
        film = np.asarray(imagecodecs.imread(archive.read(name), codec="tiff")).squeeze() > 0
        with Image.open(io.BytesIO(archive.read(name))) as image:
            black = np.asarray(image.convert("L")) < 128
            dots = image.info["dpi"][0] / 25.4
        # One program gives ink, the other light.
        assert (film == black).all() or (film != black).all()
        # The film is larger than the print, for its marks; the square of 30 mm stands in its middle.
        rows, columns = (slice(int(n / 2 - 20 * dots), int(n / 2 + 20 * dots)) for n in black.shape)
        assert black[rows, columns].sum() / dots**2 == pytest.approx(900.0, rel=0.05), name
    for name in names:
        if name.endswith(".pdf"):
            (sheet_of_film,) = pypdfium2.PdfDocument(archive.read(name))
            assert min(sheet_of_film.get_size()) > SIZE_MM / 25.4 * 72

"""A list is kept as a whole or not at all, and each line once."""

import datetime as dt
import shutil
import uuid

import pytest

from laydown.errors import InvalidInput
from laydown.services import opening, reading_list, shop_fits, swatch_book, swatch_start
from laydown.services.swatch_start import PassWish
from laydown.store import jobs

HEAD = "swatch,piece,before_g,after_g\n"


@pytest.fixture(scope="module")
def demo_file(tmp_path_factory):
    file = tmp_path_factory.mktemp("demo") / "laydown.sqlite"
    made = dt.datetime.now(dt.UTC) - dt.timedelta(hours=6)
    with opening.open_database(str(file)) as store:
        opening.start_demo(store, who="tests")
        for test, moment in (("weighing", made), ("weighing", None), ("tone-strip", None)):
            swatch_start.start_from_cloth(
                store, protocol=test, key=uuid.uuid4().hex, who="Lea", garment="Quayside tee black",
                passes=[PassWish(ink="Chalk Cotton White", screen="43-80 block")], inked_area=0.04, made_at=moment,
            )  # fmt: skip
    return file


@pytest.fixture
def store(demo_file, tmp_path):
    shutil.copy(demo_file, tmp_path / "laydown.sqlite")
    with opening.open_database(str(tmp_path / "laydown.sqlite")) as opened:
        yield opened


def kept(store, number=1):
    return [row.reading.value for row in swatch_book.sheet(store, number).readings]


def test_a_list_that_grew_adds_only_what_is_new(store):
    first = HEAD + "1,a,150.0,152.1\n"
    assert reading_list.look(store, "w.csv", first, who="Lea").new == 2
    assert kept(store) == []
    assert reading_list.keep(store, "w.csv", first, who="Lea").new == 2

    done = reading_list.keep(store, "w.csv", first + "1,b,151.0,153.1\n1,b,151.0,153.1\n", who="Lea")

    assert (done.new, done.same) == (4, 2)
    assert kept(store) == pytest.approx([0.150, 0.1521, 0.151, 0.1531, 0.151, 0.1531])


def test_a_list_asks_for_one_fit(store):
    reading_list.keep(store, "w.csv", HEAD + "1,a,150.0,152.1\n1,b,151.0,153.1\n", who="Lea")

    with store.read() as tx:
        assert [job.kind for job in jobs.recent(tx)] == [shop_fits.MEASURE]
    assert len(shop_fits.sheet(store, "transfer").readings) == 4


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("99,a,150,152", "w.csv, line 3: there is no swatch 99"),
        ("3,a,150,152", "w.csv, line 3: the test has no part 'before'; its parts are strip"),
    ],
)
def test_one_bad_line_keeps_all_others_out(store, line, told):
    with pytest.raises(InvalidInput) as error:
        reading_list.keep(store, "w.csv", HEAD + f"1,a,150.0,152.1\n{line}\n", who="Lea")

    assert str(error.value) == told
    assert kept(store) == []


def test_wet_ink_is_weighed_before_the_dryer(store):
    reading_list.keep(store, "w.csv", HEAD + "2,a,150.0,152.1\n", who="Lea")

    assert kept(store, 2) == pytest.approx([0.150, 0.1521])
    assert shop_fits.sheet(store, "transfer").swatches == (2,)


def test_a_strip_is_read_after_the_dryer(store):
    with pytest.raises(InvalidInput, match=r"w\.csv, line 2: swatch 3 is not made yet"):
        reading_list.keep(store, "w.csv", "swatch,film_percent,print_percent\n3,30,42\n", who="Lea")


def test_a_part_that_the_test_does_not_have_is_told(store):
    with pytest.raises(InvalidInput, match=r"w\.csv, line 2: the test has no part 'strip'"):
        reading_list.keep(store, "w.csv", "swatch,film_percent,print_percent\n1,30,42\n", who="Lea")

"""``laydown swatch``: from a start to a correction, labels and what to test next."""

import pytest
from typer.testing import CliRunner

from laydown.cli.swatch_reading import commands
from laydown.services import opening

GARMENT = "Quayside tee black"


@pytest.fixture
def call(tmp_path):
    database = str(tmp_path / "laydown.sqlite")
    with opening.open_database(database) as store:
        opening.start_demo(store, who="tests")

    def run(*words):
        return CliRunner().invoke(commands, [*words, "--database", database])

    return run


def test_a_swatch_is_started_read_corrected_and_shown(call, tmp_path):
    started = call("start", "foil-x10", "--garment", GARMENT, "--lot", "L-7", "--at", "2026-11-20T08:00")
    assert started.exit_code == 0
    assert "swatch 1: Foil test after ISO 105-X10" in started.output
    assert "read staining grade of the foil, 1 time" in started.output
    assert "reading 1 of swatch 1 kept" in call("read", "1", "--stain", "4-5", "--part", "foil").output
    assert "reading 2" in call("read", "1", "--stain", "3", "--part", "foil", "--corrects", "1").output
    shown = call("show", "1").output
    assert "reading 1: grade 4-5" in shown
    assert "corrected by reading 2" in shown
    assert "read     Foil test" in call("list").output
    assert call("list", "--due").output == ""
    assert call("labels", "1", "--out", str(tmp_path / "l.pdf")).exit_code == 0
    assert (tmp_path / "l.pdf").read_bytes().startswith(b"%PDF")


def test_an_instruments_file_is_looked_at_before_it_is_kept(call, tmp_path):
    call("start", "drawdown", "--ink", "Chalk Cotton White", "--at", "2026-11-20T08:00")
    (tmp_path / "scan.csv").write_text("name,L*,a*,b*\nswatch 1 film,88,3,1\nrag,50,0,0\n", encoding="utf-8")
    seen = call("import", str(tmp_path / "scan.csv"), "--light", "D65/10").output
    assert "swatch 1 film -> swatch 1, film" in seen
    assert "rag -> nowhere" in seen
    assert "reading" not in call("show", "1").output
    for told in ("1 kept, 0 were there, 1 left out", "0 kept, 1 were there, 1 left out"):
        assert told in call("import", str(tmp_path / "scan.csv"), "--light", "D65/10", "--keep").output


def test_what_was_weighed_is_told_and_put_into_plans(call):
    pass_ = "Chalk Cotton White|43-80 block|1"
    begun = ("start", "weighing", "--garment", GARMENT, "--area-cm2", "400", "--pass", pass_)
    assert call(*begun, "--at", "2026-11-20T08:00").exit_code == 0
    for piece, (before, after) in enumerate((("150.0", "154.1"), ("151.0", "155.2"), ("149.5", "153.6")), start=1):
        for part, mass in (("before", before), ("after", after)):
            assert call("read", "1", "--mass-g", mass, "--part", part, "--area", str(piece)).exit_code == 0

    assert "Ink transfer, by weighing: 1 swatches, 6 readings" in call("measured").output
    told = call("measured", "transfer").output
    assert "swatch 1, piece 2: read" in told
    assert "before" in told
    assert "Plans do not use it yet." in told
    assert "Plans use it since" in call("measured", "transfer", "--use").output
    assert "no tone strip was read yet" in call("measured", "tone").output
    refused = call("measured", "--use")
    assert "say which: transfer, optics or tone" in str(refused.exception)


def test_a_list_is_looked_at_before_it_is_kept(call, tmp_path):
    begun = (
        "start",
        "weighing",
        "--garment",
        GARMENT,
        "--area-cm2",
        "400",
        "--pass",
        "Chalk Cotton White|43-80 block|1",
    )
    assert call(*begun, "--at", "2026-11-20T08:00").exit_code == 0
    file = tmp_path / "weighed.csv"
    file.write_text("swatch,piece,before_g,after_g\n1,a,150.0,152.1\n1,b,151.0,153.2\n", encoding="utf-8")

    seen = call("enter", str(file)).output

    assert "line 2: swatch 1, after, a, 152.10 g" in seen
    assert "4 new, 0 were there" in seen
    assert "no garment was weighed" in call("measured", "transfer").output
    assert "4 kept, 0 were there" in call("enter", str(file), "--keep").output
    assert "0 kept, 4 were there" in call("enter", str(file), "--keep").output
    assert "1 swatches, 4 readings" in call("measured").output


def test_an_area_that_nobody_said_is_said_later(call):
    begun = ("start", "weighing", "--garment", GARMENT, "--pass", "Chalk Cotton White|43-80 block|1")
    assert call(*begun, "--at", "2026-11-20T08:00").exit_code == 0
    for part, mass in (("before", "150.0"), ("after", "154.1")):
        assert call("read", "1", "--mass-g", mass, "--part", part).exit_code == 0
    assert "nobody said how large the inked area is" in call("measured", "transfer").output

    assert "swatch 1 changed" in call("change", "1", "--area-cm2", "400").output

    assert "swatch 1, pair 1: read 4.10 g" in call("measured", "transfer").output
    assert "swatch 1 changed" in call("change", "1", "--drop").output
    assert "no garment was weighed" in call("measured", "transfer").output
    assert "say what changes" in str(call("change", "1").exception)


def test_films_over_black_and_white_come_out_of_an_instruments_file(call, tmp_path):
    begun = ("start", "drawdown", "--ink", "Chalk Cotton White", "--film-um", "30", "--at", "2026-11-20T08:00")
    assert call(*begun).exit_code == 0
    bands = [f"nm{380 + 10 * band}" for band in range(36)]
    levels = {"bare card over black": 5, "bare card over white": 85, "film over black": 30, "film over white": 80}
    rows = [" ".join([f'"1 {name}"', *[str(level)] * 36]) for name, level in levels.items()]
    file = tmp_path / "films.txt"
    file.write_text(
        "CGATS.17\nILLUMINATION_NAME D50\nOBSERVER_ANGLE 2\nNUMBER_OF_FIELDS 37\nBEGIN_DATA_FORMAT\n"
        f"SAMPLE_NAME {' '.join(bands)}\nEND_DATA_FORMAT\nNUMBER_OF_SETS 4\nBEGIN_DATA\n"
        + "\n".join(rows)
        + "\nEND_DATA\n",
        encoding="utf-8",
    )

    told = call("import", str(file), "--keep").output

    assert "1 film over black -> swatch 1, film, over black" in told
    assert "4 kept, 0 were there, 0 left out" in told
    fitted = call("measured", "optics", "--ink", "Chalk Cotton White").output
    assert "contrast ratio at 25.4 µm" in fitted
    assert "swatch 1 over white: read 80" in fitted


def test_tests_are_listed_and_shown_as_their_files(call):
    assert "oven-bleed" in call("tests").output
    assert 'name = "tape"' in call("tests", "tape").output
    assert call("propose").output == "no order waits for a test\n"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("read", "1", "--lab", "1 2"), "a colour is three numbers"),
        (("read", "1"), "exactly one thing"),
        (("read", "1", "--verdict", "maybe"), "is no verdict"),
        (("read", "9", "--stain", "4"), "swatch"),
        (("start", "oven", "--garment", GARMENT), "no test named"),
        (("start", "tape", "--garment", GARMENT, "--pass", "x"), "is no pass"),
        (("start", "tape", "--garment", GARMENT, "--at", "noon"), "is no moment"),
        (("fit", GARMENT), "swatch"),
    ],
)
def test_what_cannot_be_is_told_in_a_sentence(call, words, told):
    answer = call(*words)

    assert answer.exit_code != 0
    assert told in str(answer.exception)

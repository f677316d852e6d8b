"""Two thousand damaged files of each kind: a sentence or a picture, in time, and nothing else."""

import tempfile
import time
from pathlib import Path

import fuzz_seeds
import pytest
from mutants import BINARY, WRITTEN, mutant

from laydown.artwork.picture import Picture
from laydown.artwork.reading import Limits, Reader, read_picture
from laydown.errors import InvalidInput

LIMITS = Limits(
    pixels=1_000_000, side=5000, result_bytes=32 << 20, memory_bytes=1 << 30, cpu=2, wall=6, resolution_per_inch=60
)
SPARE = 2.0
"""Seconds beyond the wall clock that a busy machine may take to start the next worker."""
KINDS = {
    "png": (fuzz_seeds.png_seeds, BINARY),
    "tiff": (fuzz_seeds.tiff_seeds, BINARY),
    "jpeg": (fuzz_seeds.jpeg_seeds, BINARY),
    "svg": (fuzz_seeds.svg_seeds, WRITTEN),
    "pdf": (fuzz_seeds.pdf_seeds, WRITTEN),
}
LOST = ("longer than the allowed", "seconds of computing", "s of computing", "was ended", "so that reading it failed")


@pytest.fixture
def own_temporary(tmp_path_factory, monkeypatch):
    """A folder for temporary files that nobody else writes to."""
    folder = tmp_path_factory.mktemp("temporary")
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    return folder


def run(kind: str, folder: Path, count: int) -> dict[str, int]:
    make, ways = KINDS[kind]
    seeds = make()
    path = folder / "art"
    told = {"read": 0, "refused": 0, "killed": 0}
    with Reader(LIMITS) as reader:
        for number in range(count):
            path.write_bytes(mutant(seeds, ways, number))
            begun = time.monotonic()
            try:
                picture = read_picture(path, width=0.02, reader=reader)
            except InvalidInput as error:
                words = str(error)
                assert words.startswith("art: "), number
                assert "\n" not in words, number
                told["killed" if any(one in words for one in LOST) else "refused"] += 1
            else:
                assert isinstance(picture, Picture)
                assert picture.pixels.sum() >= 0
                told["read"] += 1
            assert time.monotonic() - begun < LIMITS.wall + SPARE, number
        told["workers"] = reader.started
    assert {one.name for one in folder.iterdir()} == {"art"}
    return told


@pytest.mark.parametrize("kind", KINDS)
def test_the_seeds_themselves_are_sound(kind, read, written):
    for seed in KINDS[kind][0]():
        assert read(written(seed, "art"), width=0.02).pixels.any()


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_two_thousand_damaged_files_give_a_picture_or_one_sentence(kind, tmp_path, own_temporary):
    told = run(kind, tmp_path, 2000)

    print(kind, told)
    assert told["read"] + told["refused"] + told["killed"] == 2000
    assert min(told["read"], told["refused"]) >= 20
    assert told["killed"] <= told["workers"]
    assert list(own_temporary.iterdir()) == []


@pytest.mark.parametrize("kind", KINDS)
def test_some_damaged_files_of_each_kind(kind, tmp_path):
    told = run(kind, tmp_path, 40)

    assert told["read"] + told["refused"] + told["killed"] == 40

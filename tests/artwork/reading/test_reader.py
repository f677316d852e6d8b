"""The caller lives on whatever the worker does."""

import os
import sys
import tempfile
import threading
import time
from pathlib import Path

import numpy as np
import pytest
from art_files import noise, phys, png

from laydown.artwork.reading import Limits, Reader, inspect_art, read, read_picture, reader
from laydown.artwork.reading.limits import MEBI
from laydown.errors import InvalidInput

SOUND = png(noise(60, 80, 4), chunks=phys(10000))
HEAR = """
import sys; sys.path[:] = {path!r}
import json, os, resource, signal, socket, struct, time
from laydown.artwork.reading.messages import receive_with_files, send
channel = socket.socket(fileno=0)
job, (art, result) = receive_with_files(channel)
FACTS = dict(columns=60, rows=60, extent=[60, 60], per_inch=None, bits=8, colour="RGB", alpha=True, profile="", pages=1,
             spots=[], notes=[])
DONE = dict(columns=60, rows=60, bits=8, profile="", notes=[], spots=[])
"""


@pytest.fixture
def art(written):
    return written(SOUND)


@pytest.fixture
def acting(monkeypatch):
    """Replace the worker by a program that hears one job and then misbehaves."""

    def act(code):
        text = HEAR.format(path=sys.path) + code
        monkeypatch.setattr(reader, "worker_command", lambda: [sys.executable, "-I", "-c", text])

    return act


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("os.kill(os.getpid(), signal.SIGSEGV)", "damaged so that reading it failed"),
        ("import ctypes; ctypes.string_at(0)", "damaged so that reading it failed"),
        ("os.abort()", "most likely for want of memory"),
        ("os.kill(os.getpid(), signal.SIGKILL)", "most likely for want of memory"),
        ("sys.exit(0)", "damaged so that reading it failed"),
        ("channel.sendall(b'\\0\\0')", "damaged so that reading it failed"),
        ("channel.sendall(b'\\xff' * 4)", "gave no usable answer"),
        ("channel.sendall(b'\\0\\0\\0\\5hello')", "gave no usable answer"),
        ("channel.sendall(b'\\0\\0\\0\\2[]')", "gave no usable answer"),
        ("channel.sendall(struct.pack('!I', 200000) + b'[' * 200000)", "gave no usable answer"),
        ("send(channel, {})", "gave no usable answer"),
        ("send(channel, dict(done=3))", "gave no usable answer"),
        ("send(channel, dict(refused=3))", "gave no usable answer"),
        ("send(channel, dict(done={}))", "gave no usable answer"),
        ("send(channel, dict(done=FACTS | dict(columns=-5)))", "gave no usable answer"),
        ("send(channel, dict(done=FACTS | dict(columns=10**9, rows=10**9)))", "gave no usable answer"),
        ("send(channel, dict(done=FACTS | dict(columns=True)))", "gave no usable answer"),
        ("send(channel, dict(done=FACTS | dict(extent=[0, float('nan')])))", "gave no usable answer"),
        ("send(channel, dict(done=FACTS | dict(notes='x')))", "gave no usable answer"),
        ("send(channel, dict(done=FACTS | dict(spots=['a'] * 999)))", "gave no usable answer"),
    ],
)
def test_a_worker_that_dies_or_talks_nonsense_gives_one_sentence(art, acting, code, words):
    acting(code)

    with pytest.raises(InvalidInput, match=rf"^art\.png: .*{words}"):
        read_picture(art, width=0.05)


@pytest.mark.parametrize(
    ("answer", "planes"),
    [
        ("DONE", 0),
        ("DONE", 5),
        ("DONE | dict(columns=61)", 4),
        ("DONE | dict(rows='60')", 4),
        ("DONE | dict(spots=[dict(name='a', srgb=[1, 2, 3])])", 4),
        ("DONE | dict(spots=[dict(name='a', srgb=[1, 2])])", 5),
        ("DONE | dict(spots=[dict(name=7, srgb=[1, 2, 3])])", 5),
        ("DONE | dict(spots=[3])", 5),
        ("DONE | dict(bits=10**9)", 4),
    ],
)
def test_a_result_that_is_not_what_was_agreed_is_never_looked_at(art, acting, answer, planes):
    acting(
        f"send(channel, dict(done=FACTS)); job, (art, result) = receive_with_files(channel);"
        f"os.ftruncate(result, 60 * 60 * {planes}); send(channel, dict(done={answer}))"
    )

    with pytest.raises(InvalidInput, match="gave no usable answer"):
        read_picture(art, width=0.05)


def test_a_result_cannot_shrink_under_the_readers_hands(art, acting):
    acting(
        "send(channel, dict(done=FACTS)); job, (art, result) = receive_with_files(channel);"
        "os.ftruncate(result, 60 * 60 * 4); send(channel, dict(done=DONE)); time.sleep(0.2); os.ftruncate(result, 0);"
        "time.sleep(30)"
    )

    with Reader(Limits()) as kept:
        picture = read_picture(art, width=0.05, reader=kept)
        time.sleep(0.5)
        assert picture.pixels.sum() == 0


def test_words_of_a_worker_are_one_clean_line(art, acting):
    acting("send(channel, dict(refused='a\\nb\\x1b[31m' + 'c' * 5000))")

    with pytest.raises(InvalidInput) as caught:
        read_picture(art, width=0.05)

    assert "\n" not in str(caught.value)
    assert "\x1b" not in str(caught.value)
    assert len(str(caught.value)) < 500


def test_a_worker_that_hangs_is_killed_in_time(art, acting):
    acting("time.sleep(60)")
    begun = time.monotonic()

    with pytest.raises(InvalidInput, match=r"longer than the allowed 0\.5 s"):
        read_picture(art, width=0.05, limits=Limits(wall=0.5))
    assert time.monotonic() - begun < 3


def test_an_answer_that_drips_is_cut_off_too(art, acting):
    acting("channel.sendall(struct.pack('!I', 1000))\nfor k in range(1000): channel.sendall(b' '); time.sleep(0.1)")
    begun = time.monotonic()

    with pytest.raises(InvalidInput, match="longer than the allowed"):
        read_picture(art, width=0.05, limits=Limits(wall=1))
    assert time.monotonic() - begun < 3


@pytest.mark.slow
def test_a_worker_that_computes_forever_is_ended_by_the_kernel(art, acting):
    acting("from laydown.artwork.reading.lockdown import allow_computing; allow_computing(1)\nwhile True: pass")

    with pytest.raises(InvalidInput, match="more than the allowed 1 s of computing"):
        read_picture(art, width=0.05, limits=Limits(cpu=1))


def test_a_picture_that_needs_more_memory_than_allowed_is_refused(written):
    large = written(png(np.zeros((6000, 6000), np.uint8)))

    with pytest.raises(InvalidInput, match=r"memory"):
        read_picture(large, width=0.3, limits=Limits(memory_bytes=150 * MEBI))


def test_a_picture_larger_than_the_result_may_be_is_refused(written):
    large = written(png(np.zeros((1000, 1000), np.uint8)))

    with pytest.raises(InvalidInput, match="1000 x 1000 pixels take 4 MB; allowed are 1 MB"):
        read_picture(large, width=0.3, limits=Limits(result_bytes=MEBI))


@pytest.mark.slow
def test_the_next_file_is_read_by_a_new_worker(art, written):
    endless = written(
        b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><filter id="f"><feGaussianBlur '
        b'stdDeviation="9"/></filter>'
        + b'<g filter="url(#f)">' * 150
        + b'<rect width="9" height="9"/>'
        + b"</g>" * 150
        + b"</svg>",
        "endless.svg",
    )
    with Reader(Limits(cpu=1, wall=10)) as kept:
        assert read_picture(art, reader=kept).columns == 80
        with pytest.raises(InvalidInput, match=r"computing|longer than"):
            read_picture(endless, width=0.5, reader=kept)
        assert read_picture(art, reader=kept).columns == 80
        assert kept.started == 2


def test_computing_time_counts_for_each_file_anew(art):
    with Reader(Limits(cpu=1)) as kept:
        for _ in range(40):
            read_picture(art, reader=kept)
        assert kept.started == 1


def test_nothing_is_left_behind(art, tmp_path, monkeypatch, acting):
    folder = tmp_path / "temporary"
    folder.mkdir()
    monkeypatch.setattr(tempfile, "tempdir", str(folder))
    before = len(list(Path("/proc/self/fd").iterdir()))

    inspect_art(art)
    read_picture(art)
    acting("open('left', 'w').write('x'); os.abort()")
    with pytest.raises(InvalidInput):
        read_picture(art)

    assert list(folder.iterdir()) == []
    assert len(list(Path("/proc/self/fd").iterdir())) == before


def test_the_worker_has_nothing_of_its_callers_environment(art, acting, monkeypatch):
    monkeypatch.setenv("SECRET_OF_THE_SHOP", "x")
    acting(
        "files = sorted(os.listdir('/proc/self/fd'))\n"
        "told = [str('SECRET_OF_THE_SHOP' in os.environ), str(os.listdir()), str(os.getcwd() == os.environ['HOME']), "
        "str(len(files) <= 7)]\n"
        "send(channel, dict(refused=' '.join(told)))"
    )

    with pytest.raises(InvalidInput, match=r"False \[\] True True"):
        read_picture(art, width=0.05)


def test_threads_read_at_the_same_time(art):
    pictures = []

    def work():
        pictures.append(read_picture(art))

    threads = [threading.Thread(target=work) for _ in range(6)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()

    assert len(pictures) == 6
    assert all(np.array_equal(picture.pixels, pictures[0].pixels) for picture in pictures)


def test_threads_may_share_one_reader(art):
    with Reader() as kept:
        found = []
        threads = [threading.Thread(target=lambda: found.append(read_picture(art, reader=kept))) for _ in range(6)]
        for one in threads:
            one.start()
        for one in threads:
            one.join()
        assert kept.started == 1
    assert len(found) == 6


def test_without_shared_memory_of_the_kernel_a_file_does(art, monkeypatch):
    monkeypatch.delattr(os, "memfd_create")
    monkeypatch.delattr(reader.fcntl, "F_ADD_SEALS")

    assert np.array_equal(read_picture(art).pixels, noise(60, 80, 4))


def test_pixels_may_be_written_to(art):
    picture = read_picture(art)

    picture.pixels[0, 0] = 7
    assert picture.pixels.flags.c_contiguous
    assert (picture.pixels[0, 0] == 7).all()


def test_a_worker_for_png_imports_little():
    import subprocess

    code = (
        "import sys; import laydown.artwork.reading.worker, laydown.artwork.reading.raster;"
        "import laydown.artwork.reading.png;"
        "import PIL.PngImagePlugin; print([n for n in ('numpy', 'pikepdf', 'pypdfium2', 'resvg_py', 'numba') "
        "if n in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


def test_the_module_offers_what_it_says():
    import laydown.artwork.reading as door

    assert all(callable(getattr(door, name)) for name in door.__all__)
    assert dir(door) == sorted(door.__all__)
    with pytest.raises(AttributeError, match="read_pictures"):
        door.read_pictures  # noqa: B018 - asking for it is the test
    assert read.read_picture is read_picture

"""B6: artwork of 4500 x 5400 pixels to eight films: white, 3 pixels of choke, 55 lines/in at 720 pixels/in, Group 4."""

from __future__ import annotations

import io
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
from numpy.typing import NDArray
from timing import in_turns, once, spread

COLUMNS, ROWS = 4500, 5400
WIDTH = 0.381
"""15 inches, so 300 pixels of art an inch."""

CHOKED = 3
LINES, DEGREE, DEVICE = 55.0, 22.5, 720.0
ROUNDS = 7
COLOURS = ("Beacon Red", "Estuary Blue", "Marram Green", "Gorse Yellow", "Buoy Orange", "Heather Violet", "Lamp Black")
WHITE = "Chalk Cotton White"
GARMENT = "Quayside tee navy"
PHOTO = 0.4
"""Share of the height that a picture with tones fills; flat shapes with soft edges fill about half of the rest."""

SPREAD = 2.0
"""Standard deviation of the picture's noise, in steps of 255: photographs are never clean."""


def draw(path: Path) -> None:
    """Write the art as a PNG: bare cloth, flat shapes with soft edges, and a picture with tones and noise."""
    from PIL import Image, ImageDraw

    rng = np.random.default_rng(6)
    flat = ((200, 40, 45), (40, 90, 170), (60, 130, 70), (245, 205, 60), (235, 120, 40), (110, 70, 150), (20, 20, 22))
    image = Image.new("RGBA", (COLUMNS, ROWS))
    pen = ImageDraw.Draw(image)
    start = int(PHOTO * ROWS)
    for index in range(90):
        x, y = rng.integers(0, COLUMNS - 700), rng.integers(start, ROWS - 700)
        size = rng.integers(60, 700, 2)
        box = (int(x), int(y), int(x + size[0]), int(y + size[1]))
        shape = pen.ellipse if index % 2 else pen.rectangle
        shape(box, fill=(*flat[index % 7], 255) if index % 9 else (255, 255, 255, 255))
    # Half size and back: what drawing programs write has soft edges.
    half = image.resize((COLUMNS // 2, ROWS // 2), Image.Resampling.BOX)
    soft = half.resize((COLUMNS, ROWS), Image.Resampling.BILINEAR)
    pixels = np.asarray(soft).copy()
    y, x = np.mgrid[0 : start - 200, 0 : COLUMNS - 800]
    angle = np.arctan2(y - y.mean(), x - x.mean())
    distance = np.hypot(y - y.mean(), x - x.mean()) / 1800
    tones = np.stack([0.5 + 0.45 * np.cos(angle + turn + 3 * distance) for turn in (0.0, 2.1, 4.2)], axis=-1)
    noisy = 255 * tones + rng.normal(0, SPREAD, tones.shape)
    pixels[100 : start - 100, 400 : COLUMNS - 400, :3] = np.clip(noisy, 0, 255)
    pixels[100 : start - 100, 400 : COLUMNS - 400, 3] = 255
    Image.fromarray(pixels).save(path, dpi=(300, 300), compress_level=6)


def print_of_seven() -> Any:
    """White and seven colours on a dark tee, from the invented shop."""
    from laydown.artwork.print_colour import print_layers
    from laydown.models.colour import reflectance
    from laydown.services.shelves import open_shop

    shop = open_shop()
    inks = {ink.name: ink for ink in shop.inks}
    cloth = next(garment for garment in shop.garments if garment.name == GARMENT)
    return print_layers(reflectance(cloth.colour), white=inks[WHITE], colours=tuple(inks[name] for name in COLOURS))


def separated(picture: Any, layers: Any) -> Any:
    """Plates of the picture, the white choked."""
    from laydown.artwork.separate import SeparationOptions, separate

    return separate(picture, layers, options=SeparationOptions(choke=CHOKED * picture.pixel)).plates


def write(plates: Any, folder: Path) -> None:
    """Films of the plates, with their marks, words and strips."""
    from laydown import units
    from laydown.artwork.films.write import Film, FilmKind, write_films
    from laydown.artwork.tone_curve import starting_curve

    films = [Film(plate=plate, screening=screen(), mesh="90/48", curve=starting_curve()) for plate in plates]
    write_films(films, folder, order="B6", resolution=units.from_per_inch(DEVICE), kinds=[FilmKind.TIFF])


def screen() -> Any:
    """The halftone of the benchmark."""
    from laydown import units
    from laydown.artwork.halftone import DotShape, Halftone

    ruling, angle = units.from_per_inch(LINES), units.from_degree(DEGREE)
    return Halftone(ruling=ruling, angle=angle, shape=DotShape.SQUARE)


def whole_job(art: Path, layers: Any, folder: Path) -> None:
    """From the file of the art to the files of the films."""
    from laydown.artwork.reading import read_picture

    write(separated(read_picture(art, width=WIDTH), layers), folder)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work, on both sides; ``theirs`` is None where the peer is not installed."""

    name: str
    peer: str
    ours: Callable[[], object]
    theirs: Callable[[], object] | None


def report() -> str:
    """B6 in Markdown."""
    from PIL import Image

    Image.MAX_IMAGE_PIXELS = None
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        art = folder / "art.png"
        draw(art)
        return _report(art, folder)


def _report(art: Path, folder: Path) -> str:
    from laydown.artwork.reading import read_picture

    layers = print_of_seven()
    picture = read_picture(art, width=WIDTH)
    plates = separated(picture, layers)
    write(plates, folder / "films")
    files = sorted((folder / "films").glob("*.tif"))

    def unavoidable() -> None:
        """What anybody has to do: decode the art, code the films."""
        from PIL import Image

        with Image.open(art) as image:
            np.asarray(image.convert("RGBA"))
        for each in images:
            each.save(io.BytesIO(), "TIFF", compression="group4", tiffinfo={278: each.height})

    images = [_bits(path) for path in files]
    pair = in_turns(lambda: whole_job(art, layers, folder / "job"), unavoidable, rounds=ROUNDS)
    busy = processor(lambda: whole_job(art, layers, folder / "job"))
    parts = {
        "read the art, in its worker": [once(lambda: read_picture(art, width=WIDTH)) for _ in range(ROUNDS)],
        "separate, choke included": [once(lambda: separated(picture, layers)) for _ in range(ROUNDS)],
        f"{len(plates)} films": [once(lambda: write(plates, folder / "films")) for _ in range(ROUNDS)],
    }
    del images[1:]
    added = memory(art)
    toned = max(plates, key=_grey)
    ratio = sorted(ours / theirs for ours, theirs in zip(pair.ours, pair.theirs, strict=True))
    grey = ", ".join(f"{100 * _grey(plate):.0f} %" for plate in plates)
    about = (
        f"{COLUMNS} x {ROWS} pixels of RGBA to {len(plates)} plates with underbase, {CHOKED} pixels of choke, "
        f"{LINES:g} lines/in at {DEVICE:g} pixels/in, Group 4. Toned are {grey} of the plates' pixels. "
        f"{ROUNDS} rounds. Goal: 2.5 s on 2 cores, at most 1.5 times (decode + 8 Group 4 writes by Pillow), "
        "at most 3 bytes added per pixel of the art.\n"
    )
    found = (
        f"\nThe job takes {median(ratio):.2f} times decode and writes (best {ratio[0]:.2f}, worst {ratio[-1]:.2f}) and "
        f"{busy:.2f} s of processor time, which counts what else the machine does less than the clock; {added}\n"
    )
    lines = [
        "## B6: art to films\n",
        about,
        "| work | median [s] | best | worst |\n|---|---|---|---|",
        f"| whole job, in turns with the next line | {spread(pair.ours)} |",
        f"| decode + {len(files)} Group 4 writes, Pillow | {spread(pair.theirs)} |",
        *(f"| of the job: {what} | {spread(seconds)} |" for what, seconds in parts.items()),
        found,
        "Step by step against other tools, one thread each, in turns:\n",
        "| step | peer | ours [ms] | peer [ms] | times faster | worst | best |\n|---|---|---|---|---|---|---|",
        *(_row(step) for step in steps(picture, plates, toned, images[0], folder)),
        "",
    ]
    return "\n".join(lines)


def processor(work: Callable[[], object]) -> float:
    """Seconds of processor time of one call, worker processes included."""

    def used() -> float:
        spent = [resource.getrusage(whose) for whose in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
        return sum(one.ru_utime + one.ru_stime for one in spent)

    begun = used()
    work()
    return used() - begun


def _bits(path: Path) -> Any:
    from PIL import Image

    with Image.open(path) as image:
        image.load()
        return image


def _grey(plate: Any) -> float:
    tones = plate.tone()
    return float(np.count_nonzero((tones > 0) & (tones < 255)) / tones.size)


def _row(step: Step) -> str:
    if step.theirs is None:
        return f"| {step.name} | {step.peer} | {1e3 * once(step.ours):.3g} | not installed | – | – | – |"
    return in_turns(step.ours, step.theirs, rounds=ROUNDS).row(f"{step.name} | {step.peer}")


def steps(picture: Any, plates: Any, toned: Any, film: Any, folder: Path) -> list[Step]:
    """Every step with each peer that can do it."""
    tones = toned.tone()
    return [*_map_steps(picture, plates), *_dot_steps(toned, tones), *_code_steps(toned, tones, film, folder)]


def _map_steps(picture: Any, plates: Any) -> list[Step]:
    """Eight plates looked up from the art, times its alpha."""
    tables = np.random.default_rng(1).integers(0, 256, (len(plates), 1 << 18)).astype(np.uint8)

    def ours() -> None:
        for plate in plates:
            for start in range(0, ROWS, 128):
                plate.tones.band(start, min(ROWS, start + 128))

    def with_numpy() -> None:
        pixels = picture.pixels
        cell = (pixels[..., 0] >> 2).astype(np.int32) << 12
        cell |= (pixels[..., 1] >> 2).astype(np.int32) << 6
        cell |= pixels[..., 2] >> 2
        alpha = pixels[..., 3].astype(np.uint16)
        for table in tables:
            (table[cell] * alpha // 255).astype(np.uint8)

    return [Step("look up the plates", "NumPy", ours, with_numpy)]


def _dot_steps(toned: Any, tones: NDArray[np.uint8]) -> list[Step]:
    """The plate with most tones to packed dots."""
    from laydown import units
    from laydown.artwork.halftone import halftone_rows
    from laydown.artwork.halftone_thresholds import thresholds

    resolution = units.from_per_inch(DEVICE)
    tile = thresholds(screen(), resolution)
    rows, columns = round(toned.height * resolution), round(toned.width * resolution)
    down = (2 * np.arange(rows) + 1) * ROWS // (2 * rows)
    across = (2 * np.arange(columns) + 1) * COLUMNS // (2 * columns)
    high = tile.ranks.shape[0]
    y, x = np.arange(rows), np.arange(columns)
    levels = np.rint(np.arange(256) / 255 * tile.levels).astype(np.uint16)
    # Others may keep the thresholds of the whole film: that costs 280 MB and no time here.
    ranks = np.empty((rows, columns), np.uint16)
    for each in y:
        ranks[each] = tile.ranks[each % high, (x + tile.slant * (each // high)) % tile.period]

    def ours() -> NDArray[np.uint8]:
        return np.concatenate(list(halftone_rows(toned, screen(), resolution=resolution)))

    def with_numpy() -> NDArray[np.uint8]:
        return np.packbits(ranks < levels[tones][np.ix_(down, across)], axis=1)

    found = [Step("break one plate into dots", "NumPy", ours, with_numpy)]
    if not np.array_equal(ours(), with_numpy()):
        raise RuntimeError("both sides must make the same dots")
    if find_spec("cv2") is None:
        return [*found, Step("break one plate into dots", "OpenCV", ours, None)]
    import cv2

    cv2.setNumThreads(1)

    def with_cv2() -> NDArray[np.uint8]:
        large = cv2.resize(levels[tones], (columns, rows), interpolation=cv2.INTER_NEAREST_EXACT)
        return np.packbits(cv2.compare(large, ranks, cv2.CMP_GT), axis=1)

    return [*found, Step("break one plate into dots", "OpenCV", ours, with_cv2)]


def _code_steps(toned: Any, tones: NDArray[np.uint8], film: Any, folder: Path) -> list[Step]:
    """Group 4 alone, and one plate from tones to its film file."""
    from laydown import units
    from laydown.artwork.films.g4 import G4Encoder
    from laydown.artwork.films.tiff import tiff_file
    from laydown.artwork.halftone import halftone_rows
    from laydown.artwork.plate import Plate, StoredTone

    resolution = units.from_per_inch(DEVICE)
    packed = np.packbits(~np.asarray(film), axis=1)

    def coded() -> bytes:
        encoder = G4Encoder(film.width)
        encoder.add(packed)
        return encoder.finish()

    def with_pillow() -> None:
        film.save(io.BytesIO(), "TIFF", compression="group4", tiffinfo={278: film.height})

    kept = StoredTone(values=tones)
    stored = Plate(
        name=toned.name, role=toned.role, ink=toned.ink, tones=kept, width=toned.width, height=toned.height
    )  # fmt: skip
    target = folder / "one.tif"

    def one_film() -> None:
        rows, columns = round(toned.height * resolution), round(toned.width * resolution)
        encoder = G4Encoder(columns)
        for band in halftone_rows(stored, screen(), resolution=resolution):
            encoder.add(band)
        target.write_bytes(
            tiff_file(encoder.finish(), columns=columns, rows=rows, resolution=resolution, title="one plate")
        )

    program = folder / "plate.ps"
    raw = folder / "plate.raw"
    raw.write_bytes(tones.tobytes())
    program.write_text(
        f"<< /PageSize [{COLUMNS * 72 / 300:g} {ROWS * 72 / 300:g}] >> setpagedevice\n"
        f"{LINES:g} {DEGREE:g} {{180 mul cos exch 180 mul cos add 2 div}} setscreen\n"
        f"{COLUMNS * 72 / 300:g} {ROWS * 72 / 300:g} scale /DeviceGray setcolorspace\n"
        f"<< /ImageType 1 /Width {COLUMNS} /Height {ROWS} /BitsPerComponent 8 /Decode [1 0]\n"
        f"/ImageMatrix [{COLUMNS} 0 0 -{ROWS} 0 {ROWS}] /DataSource ({raw}) (r) file >> image showpage\n",
        encoding="ascii",
    )
    ghostscript = shutil.which("gs")

    def with_ghostscript() -> None:
        subprocess.run(
            [str(ghostscript), "-q", "-dNOSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=tiffg4", "-dMaxStripSize=0",
             f"-r{DEVICE:g}", f"-sOutputFile={folder / 'peer.tif'}", str(program)],
            check=True,
        )  # fmt: skip

    return [
        Step("code one film", "Pillow (libtiff)", coded, with_pillow),
        Step("tones to a film file", "Ghostscript, whole process", one_film, with_ghostscript if ghostscript else None),
    ]


def memory(art: Path) -> str:
    """Bytes that separating and writing add to the decoded art, per pixel, in a process of its own."""
    if not Path("/proc/self/clear_refs").exists():
        return "memory is not measured on this system."
    done = subprocess.run(
        [sys.executable, __file__, "memory", str(art)], capture_output=True, text=True, check=True, env=os.environ
    )
    found = json.loads(done.stdout.splitlines()[-1])
    return f"it adds {found['added']:.2f} bytes a pixel ({found['megabytes']:.0f} MB) to the decoded art."


def _measure_memory(art: Path) -> None:
    """Highest resident memory while working, less what the process had with its kernels loaded and the art decoded."""
    from laydown.artwork.picture import Picture
    from laydown.artwork.reading import read_picture

    layers = print_of_seven()
    picture = read_picture(art, width=WIDTH)
    with tempfile.TemporaryDirectory() as name:
        rows = 600
        part = Picture(pixels=picture.pixels[1900 : 1900 + rows].copy(), width=WIDTH, height=WIDTH * rows / COLUMNS)
        write(separated(part, layers), Path(name) / "warm")
        del part
        # The reader's pixels lie in memory that both processes see; they count here only once they were looked at.
        for start in range(0, ROWS, 100):
            picture.pixels[start : start + 100].max()
        before = _status("VmRSS")
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
        write(separated(picture, layers), Path(name) / "films")
        added = _status("VmHWM") - before
    print(json.dumps({"added": added / (ROWS * COLUMNS), "megabytes": added / 1e6}))


def _status(key: str) -> int:
    """Entry of the kernel's account of this process [bytes]."""
    lines = Path("/proc/self/status").read_text(encoding="ascii").splitlines()
    return next(1024 * int(line.split()[1]) for line in lines if line.startswith(f"{key}:"))


if __name__ == "__main__":
    if sys.argv[1:2] == ["memory"]:
        _measure_memory(Path(sys.argv[2]))
    else:
        print(report())

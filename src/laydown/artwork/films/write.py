"""Plates to film files: all of them or none."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from laydown.artwork.films.g4 import G4Encoder
from laydown.artwork.films.marks import Words, film_stamps
from laydown.artwork.films.pdf import pdf_file
from laydown.artwork.films.sheet import Sheet, sheet_for, sheet_rows
from laydown.artwork.films.tiff import tiff_file
from laydown.artwork.halftone import Screening, device_shape, halftone_rows, told_screening
from laydown.artwork.plate import Plate
from laydown.artwork.tone_curve import STRAIGHT, ToneCurve, film_shares
from laydown.documents.whole_files import write_whole_files
from laydown.errors import InvalidInput

LONGEST_NAME = 48


class FilmKind(StrEnum):
    """File formats of films, by their endings."""

    TIFF = "tif"
    PDF = "pdf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """How one plate is put on film.

    Attributes
    ----------
    plate : Plate
    screening : Halftone or Stochastic
    mesh : str
        Name of the mesh it is for, as it stands on the film.
    curve : ToneCurve
        Dot gain that is undone.
    least, most : float
        Smallest dot and smallest hole's plate that are put on the film, from
        `laydown.artwork.mesh_checks.dot_limits`.
    """

    plate: Plate
    screening: Screening
    mesh: str = ""
    curve: ToneCurve = STRAIGHT
    least: float = 0.0
    most: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenFilm:
    """What was written of one plate.

    Attributes
    ----------
    plate : str
    files : tuple of str
        Names in the folder.
    sheet : Sheet
        Size of the film and place of the image on it.
    """

    plate: str
    files: tuple[str, ...]
    sheet: Sheet


def write_films(
    films: Sequence[Film],
    folder: Path,
    *,
    order: str,
    resolution: float,
    mirrored: bool = False,
    kinds: Sequence[FilmKind] = (FilmKind.TIFF, FilmKind.PDF),
    workers: int = 2,
    finished: Callable[[int], None] | None = None,
) -> tuple[WrittenFilm, ...]:
    """Write the films of a print's plates into a folder.

    Parameters
    ----------
    films : sequence of Film
        In printing order; all plates of one size.
    folder : Path
        Made when it is missing; other files in it stay.
    order : str
        What the order is called, on the films and in front of their names.
    resolution : float
        Of the film printer [pixels per metre].
    mirrored : bool
        The whole film, words and all, with left and right changed over.
    kinds : sequence of FilmKind
    workers : int
        Films made at a time.
    finished : callable, optional
        Called with the number of films done.

    Returns
    -------
    tuple of WrittenFilm

    Raises
    ------
    InvalidInput
        When there is no plate, plates differ in size, a ruling does not fit the device, or the folder cannot be
        written to. Nothing is written then.
    """
    if not films or not kinds:
        raise InvalidInput("there is no plate to make a film of" if not films else "no kind of film file is asked for")
    shape = device_shape(films[0].plate, resolution)
    for film in films:
        if device_shape(film.plate, resolution) != shape:
            raise InvalidInput(
                f"the plate {film.plate.name!r} is not as large as {films[0].plate.name!r}; the plates of a print "
                "must have one size"
            )
    sheet = sheet_for(*shape, resolution)
    names = [film_name(order, number, film.plate.name) for number, film in enumerate(films, start=1)]
    made = not folder.exists()
    try:
        write_whole_files(folder, _Made(films, names, sheet, order, mirrored, kinds, workers, finished))
    except BaseException:
        if made and folder.is_dir() and not any(folder.iterdir()):
            folder.rmdir()
        raise
    return tuple(
        WrittenFilm(plate=film.plate.name, files=tuple(f"{name}.{kind}" for kind in kinds), sheet=sheet)
        for film, name in zip(films, names, strict=True)
    )


def film_code(film: Film, sheet: Sheet, *, order: str, mirrored: bool) -> bytes:
    """Group 4 data of one film's rows: marks, words, strip and image, a band at a time."""
    shares = film_shares(film.curve, least=film.least, most=film.most)
    words = Words(
        plate=film.plate.name,
        order=order,
        ink=film.plate.ink,
        mesh=film.mesh,
        screening=film.screening,
        curve=film.curve,
        mirrored=mirrored,
    )
    image = halftone_rows(film.plate, film.screening, resolution=sheet.resolution, shares=shares)
    encoder = G4Encoder(sheet.columns)
    for band in sheet_rows(sheet, image, film_stamps(sheet, words), mirrored=mirrored):
        encoder.add(band)
    return encoder.finish()


def film_name(order: str, number: int, plate: str) -> str:
    """Name of a film's file without its ending: plain letters, digits and hyphens, different for each plate."""
    return "-".join(part for part in (_plain(order), f"{number:02d}", _plain(plate)) if part)


def _plain(text: str) -> str:
    ascii_only = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^a-z0-9]+", "-", ascii_only.lower()).strip("-")[:LONGEST_NAME].rstrip("-")


class _Made(Mapping[str, str | bytes]):
    """Files by name, made while they are asked for, some films ahead: they are never all in memory."""

    def __init__(
        self,
        films: Sequence[Film],
        names: Sequence[str],
        sheet: Sheet,
        order: str,
        mirrored: bool,
        kinds: Sequence[FilmKind],
        workers: int,
        finished: Callable[[int], None] | None,
    ) -> None:
        self._films, self._names, self._kinds = films, names, tuple(kinds)
        self._sheet, self._order, self._mirrored = sheet, order, mirrored
        self._workers, self._finished = max(1, workers), finished

    def __len__(self) -> int:
        return len(self._films) * len(self._kinds)

    def __iter__(self) -> Iterator[str]:
        return (f"{name}.{kind}" for name in self._names for kind in self._kinds)

    def __getitem__(self, name: str) -> bytes:
        stem, _, ending = name.rpartition(".")
        index = self._names.index(stem)
        return self._file(index, self._code(self._films[index]), FilmKind(ending))

    def items(self) -> Iterator[tuple[str, str | bytes]]:  # type: ignore[override]  # one pass is all that is needed
        """Names and contents, in order."""
        with ThreadPoolExecutor(self._workers, thread_name_prefix="film") as pool:
            waiting: dict[int, Future[bytes]] = {}
            for index in range(len(self._films)):
                for ahead in range(index, min(len(self._films), index + self._workers + 1)):
                    if ahead not in waiting:
                        waiting[ahead] = pool.submit(self._code, self._films[ahead])
                code = waiting[index].result()
                waiting[index] = Future()
                for kind in self._kinds:
                    yield f"{self._names[index]}.{kind}", self._file(index, code, kind)
                if self._finished is not None:
                    self._finished(index + 1)

    def _code(self, film: Film) -> bytes:
        return film_code(film, self._sheet, order=self._order, mirrored=self._mirrored)

    def _file(self, index: int, code: bytes, kind: FilmKind) -> bytes:
        film = self._films[index]
        title = f"{self._order} {film.plate.name}, {film.plate.ink}, {told_screening(film.screening)}".strip()
        make = tiff_file if kind is FilmKind.TIFF else pdf_file
        return make(
            code, columns=self._sheet.columns, rows=self._sheet.rows, resolution=self._sheet.resolution, title=title
        )


__all__ = ["Film", "FilmKind", "WrittenFilm", "film_code", "film_name", "write_films"]

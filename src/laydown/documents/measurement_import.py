"""Reading colour measurements from a file of any kind that laydown knows; the kind is seen by what stands in it."""

from __future__ import annotations

from laydown.documents.cgats_measurements import read_cgats
from laydown.documents.cgats_text import is_cgats
from laydown.documents.csv_measurements import read_csv_measurements
from laydown.documents.cxf_measurements import read_cxf
from laydown.documents.cxf_xml import is_xml
from laydown.documents.measurement_file import AS_SAID, Asked, MeasurementFile
from laydown.documents.measurement_text import decoded, one_line, refuse_large


def read_measurements(name: str, content: bytes, *, asked: Asked = AS_SAID) -> MeasurementFile:
    """Colour measurements of a file, and how it was understood.

    Parameters
    ----------
    name : str
        Of the file, for sentences; its ending decides nothing.
    content : bytes
        At most 5 MB.
    asked : Asked
        What the person adds: conditions the file does not say, per cent or factor, a white for X, Y, Z, the time
        zone of moments without one, and whether bad rows are skipped and listed.

    Returns
    -------
    MeasurementFile

    Raises
    ------
    InvalidInput
        When the file is of no known kind, its structure is broken, it holds nothing that can be used, or a row is
        bad and bad rows are not to be skipped. Nothing is half read.
    """
    name = one_line(name)[:200] or "file"
    refuse_large(content, where=name)
    if is_xml(content):
        return read_cxf(content, asked, name=name)
    text, coding = decoded(content, where=name)
    if is_cgats(text):
        return read_cgats(text, asked, name=name, coding=coding)
    return read_csv_measurements(text, asked, name=name, coding=coding)

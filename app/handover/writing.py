"""A document in the form that a file's ending asks for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

from app.handover.document import Document
from app.handover.job import Job, Options
from app.paper.files import DRAWN, File, about_of, lacking, not_of_this_set, page_files, write_files
from app.paper.png import TooManyDots
from app.paper.table import with_cautions
from engine.installation.model import Snapshot
from engine.picture import Picture
from engine.words import _

__all__ = ["ENDINGS", "File", "Unwritable", "files_of", "forms_of", "write_document", "write_plain"]

TABLED = (".xlsx", ".csv", ".json")
WORDED = ".docx"
ENDINGS = (*DRAWN, WORDED, *TABLED)


class Unwritable(ValueError):
    """A document that has nothing to write in the form asked for; the message is for the person."""


def forms_of(document: Document) -> tuple[str, ...]:
    """The endings a document can be written with."""
    worded = (WORDED,) if document.blocks else ()
    return (*(DRAWN if document.pictures else ()), *worded, *(TABLED if document.tables else ()))


def files_of(document: Document, ending: str, job: Job, stem: str) -> Iterator[File]:
    """The files of a document in one form: several where the form holds one page or one table.

    Raises `Unwritable` for a form the document does not have.
    """
    if not forms_of(document):
        raise Unwritable(
            " ".join(document.gaps) or _("{title}: there is nothing to write").format(title=document.title)
        )
    if ending not in forms_of(document):
        raise Unwritable(
            _("{title} is not written as {ending}; there is: {endings}").format(
                title=document.title, ending=ending, endings=", ".join(forms_of(document))
            )
        )
    if ending in TABLED:
        yield from _tables(document, ending, job, stem)
        return
    about = about_of(job.snapshot, document.title)
    if document.author:
        about = about._replace(author=document.author)
    if ending == WORDED:
        from app.paper.docx.writing import docx_bytes

        yield File(stem + WORDED, docx_bytes(document.blocks, about, paper=job.text_size, mono=job.options.mono))
        return
    try:
        yield from page_files(_cut(document.pictures, ending, job), ending, stem, about, job.options.dpi)
    except TooManyDots as fault:
        raise Unwritable(str(fault)) from None


def _cut(pictures: tuple[Picture, ...], ending: str, job: Job) -> tuple[Picture, ...]:
    """Pages cut to the printer's paper, where that was asked for; a DXF holds its sheet whole."""
    if not job.options.tile or ending == ".dxf":
        return pictures
    from app.paper.tiling import tiled

    return tiled(pictures, job.options.tile)


def write_document(document: Document, path: Path | str, job: Job, say: Callable[[str], object]) -> tuple[Path, ...]:
    """Write a document by the ending of `path` and what lies beside it; `say` hears what the person should know.

    Returns the files written. Raises `Unwritable`, and `OSError` from the disk.
    """
    target = Path(path)
    ending = target.suffix.lower()
    written, missing = write_files(files_of(document, ending, job, target.stem), target)
    if ending in DRAWN and (others := not_of_this_set(target, written)):
        say(others)
    if ending == ".dxf" and job.options.tile:
        say(_("{path}: a DXF holds each sheet whole, it is not cut into pages").format(path=path))
    if ending in (".svg", ".dxf") and any(picture.photographs for picture in document.pictures):
        say(_("{path}: photographs are in PDF, PNG and DOCX only; this is without them").format(path=path))
    if missing:
        say(lacking(path, missing))
    for gap in document.gaps:
        say(gap)
    return written


def write_plain(document: Document, path: Path, snapshot: Snapshot, say: Callable[[str], object]) -> tuple[Path, ...]:
    """Write a document that needs no judgement, as PDF or tables, by the ending of `path`; returns the files."""
    ending = path.suffix.lower()
    if ending in TABLED:
        files = _table_files(document, ending, path.stem, snapshot.settings.sheet_size, snapshot)
    else:
        files = page_files(document.pictures, ending, path.stem, about_of(snapshot, document.title), Options().dpi)
    written, missing = write_files(files, path)
    if missing:
        say(lacking(path, missing))
    return written


def _tables(document: Document, ending: str, job: Job, stem: str) -> Iterator[File]:
    yield from _table_files(document, ending, stem, job.options.size or job.snapshot.settings.sheet_size, job.snapshot)


def _table_files(document: Document, ending: str, stem: str, paper: str, snapshot: Snapshot) -> Iterator[File]:
    if ending == ".csv":
        from app.paper.csvfile import csv_bytes

        for table in document.tables:
            own = f"{stem}-{table.name}" if len(document.tables) > 1 else stem
            yield File(own + ".csv", csv_bytes([table]))
        return
    tables = with_cautions(document.tables)
    if ending == ".json":
        from app.paper.csvfile import json_bytes

        yield File(stem + ".json", json_bytes(tables))
        return
    from app.paper.xlsx import xlsx_bytes

    author = snapshot.title_block.creator
    yield File(stem + ".xlsx", xlsx_bytes(tables, title=document.title, author=author, paper=paper))

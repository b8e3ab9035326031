"""A document in the form that a file's ending asks for."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from app.handover.document import Document
from app.handover.job import Job
from app.paper.table import Table
from engine.cautions import CAUTIONS
from engine.files.atomic import write_bytes
from engine.picture import Picture
from engine.words import _

__all__ = ["ENDINGS", "File", "Unwritable", "files_of", "forms_of", "write_document"]

DRAWN = (".pdf", ".svg", ".png", ".dxf")
TABLED = (".xlsx", ".csv", ".json")
ENDINGS = (*DRAWN, *TABLED)


class Unwritable(ValueError):
    """A document that has nothing to write in the form asked for; the message is for the person."""


class File(NamedTuple):
    """A file to be written; `missing`: characters the font lacks, drawn as boxes."""

    name: str
    data: bytes
    missing: str = ""


def forms_of(document: Document) -> tuple[str, ...]:
    """The endings a document can be written with."""
    return (*(DRAWN if document.pictures else ()), *(TABLED if document.tables else ()))


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
    elif ending == ".pdf":
        data, missing = _pdf(document, job)
        yield File(stem + ".pdf", data, missing)
    elif ending == ".png":
        from app.paper.png import png_pages

        data, missing = _pdf(document, job)
        yield from _numbered(png_pages(data, job.options.dpi), len(document.pictures), stem, ending, missing)
    else:
        yield from _numbered(_vectors(document.pictures, ending), len(document.pictures), stem, ending)


def write_document(document: Document, path: Path | str, job: Job, say: Callable[[str], object]) -> tuple[Path, ...]:
    """Write a document by the ending of `path` and what lies beside it; `say` hears what the person should know.

    Returns the files written. Raises `Unwritable`, and `OSError` from the disk.
    """
    target = Path(path)
    files = list(files_of(document, target.suffix.lower(), job, target.stem))
    written = []
    for file in files:
        beside = target.with_name(file.name) if len(files) > 1 else target
        write_bytes(beside, file.data)
        written.append(beside)
    lacking = "".join(dict.fromkeys("".join(file.missing for file in files)))
    if lacking:
        say(_("{path}: the font lacks {characters}; boxes stand in their place").format(path=path, characters=lacking))
    for gap in document.gaps:
        say(gap)
    return tuple(written)


def _pdf(document: Document, job: Job) -> tuple[bytes, str]:
    from app.paper.pdf import pdf_bytes

    block = job.snapshot.title_block
    data, written = pdf_bytes(
        document.pictures,
        title=", ".join(part for part in (job.snapshot.vessel.name, document.title) if part),
        author=block.creator or block.legal_owner,
        language=block.language,
    )
    return data, written.missing_characters


def _vectors(pictures: Sequence[Picture], ending: str) -> Iterator[bytes]:
    if ending == ".svg":
        from app.paper.svg import svg_bytes as write
    else:
        from app.paper.dxf import dxf_bytes as write
    for picture in pictures:
        yield write(picture)


def _numbered(pages: Iterable[bytes], count: int, stem: str, ending: str, missing: str = "") -> Iterator[File]:
    digits = max(2, len(str(count)))
    for n, data in enumerate(pages, 1):
        yield File(f"{stem}-{n:0{digits}}{ending}" if count > 1 else stem + ending, data, missing)


def _tables(document: Document, ending: str, job: Job, stem: str) -> Iterator[File]:
    if ending == ".csv":
        from app.paper.csvfile import csv_bytes

        for table in document.tables:
            own = f"{stem}-{table.name}" if len(document.tables) > 1 else stem
            yield File(own + ".csv", csv_bytes([table]))
        return
    tables = _with_cautions(document.tables)
    if ending == ".json":
        from app.paper.csvfile import json_bytes

        yield File(stem + ".json", json_bytes(tables))
        return
    from app.paper.xlsx import xlsx_bytes

    paper = job.options.size or job.snapshot.settings.sheet_size
    author = job.snapshot.title_block.creator
    yield File(stem + ".xlsx", xlsx_bytes(tables, title=document.title, author=author, paper=paper))


def _with_cautions(tables: Sequence[Table]) -> tuple[Table, ...]:
    """A page carries the cautions in its frame; other forms carry them under their last table."""
    last = tables[-1]
    return (*tables[:-1], last._replace(notes=(*last.notes, *map(_, CAUTIONS))))

"""The hand-over pack: every document in every form it has, the drawing, what was found, a manifest with checksums.

The same drawing, options and version of the program give the same bytes.
"""

from __future__ import annotations

import hashlib
import json
import logging
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from app.handover.document import Document
from app.handover.documents import Maker, documents
from app.handover.job import Job
from app.handover.placing import MANIFEST, place_for
from app.handover.writing import File, files_of, forms_of
from app.paper.escape import visible
from app.paper.files import lacking
from engine.cautions import CAUTIONS
from engine.pausing import GivenUp, pause
from engine.report import as_json, as_sarif, dumps
from engine.version import version
from engine.words import _

__all__ = ["CHECKSUMS", "CONTENTS", "Packed", "chosen", "pack"]

CHECKSUMS = "checksums.sha256"
CONTENTS = "contents.txt"
_FOLDERS = {".csv": "tables/", ".json": "tables/", ".svg": "svg/", ".png": "png/", ".dxf": "dxf/"}
_SHEETS = "drawings"  # the one document whose pages are written as SVG, PNG and DXF too
log = logging.getLogger(__name__)


class Packed(NamedTuple):
    """What came of it: number of files, what the person should know, titles of documents a fault stopped."""

    files: int
    told: tuple[str, ...]
    failed: tuple[str, ...]


class _Entry(NamedTuple):
    name: str
    data: bytes
    what: str
    held_by: str = ""


def chosen(only: Iterable[str] = ()) -> list[Maker]:
    """The documents named, all where none is. Raises `KeyError` with the name of one that does not exist."""
    every = documents()
    wanted = set(only)
    for name in wanted - set(every):
        raise KeyError(name)
    return [maker for name, maker in every.items() if not wanted or name in wanted]


def pack(
    job: Job,
    path: Path | str,
    drawing: bytes,
    makers: list[Maker],
    say: Callable[[int, int, str], object] = lambda _n, _of, _title: None,
) -> Packed:
    """Write the pack into a folder or a zip file. `drawing`: the bytes of the drawing file; `say` hears how far it is.

    What stood there stays whole unless all of it can be written. Raises `PlaceError` and `OSError`, and what `pause`
    raises to stop.
    """
    stem = safe_stem(job.file_name)
    makers = [maker for maker in makers if maker.fits(job.snapshot)]
    told: list[str] = []
    failed: list[str] = []
    listed: list[dict[str, Any]] = []
    made_of: list[dict[str, Any]] = []
    with place_for(path) as place:
        for entry in _entries(job, drawing, makers, stem, say, told, failed, made_of):
            pause()
            place.put(entry.name, entry.data)
            listed.append(
                {
                    "name": entry.name,
                    "size": len(entry.data),
                    "sha256": hashlib.sha256(entry.data).hexdigest(),
                    "what": entry.what,
                    "held_by": entry.held_by,
                }
            )
        for name, data in ((CONTENTS, _contents(job, listed, made_of)), (CHECKSUMS, _checksums(listed))):
            place.put(name, data)
            listed.append({"name": name, "size": len(data), "sha256": hashlib.sha256(data).hexdigest()})
        place.put(MANIFEST, _manifest(job, listed, made_of))
        told.extend(place.finish())
    return Packed(len(listed) + 1, tuple(told), tuple(failed))


def safe_stem(name: str) -> str:
    """The stem of a drawing's file as every system takes it."""
    stem = re.sub(r"[^\w. -]+", "-", Path(name or "drawing").stem).strip(" .-")
    return stem[:80] or "drawing"


def _entries(
    job: Job,
    drawing: bytes,
    makers: list[Maker],
    stem: str,
    say: Callable[[int, int, str], object],
    told: list[str],
    failed: list[str],
    made_of: list[dict[str, Any]],
) -> Iterator[_Entry]:
    yield _Entry(f"{stem}.linewright", drawing, _("the drawing itself"))
    name = job.file_name or f"{stem}.linewright"
    yield _Entry(f"{stem}-findings.json", dumps(as_json(job.result, name)), _("what was found, for other programs"))
    yield _Entry(f"{stem}-findings.sarif", dumps(as_sarif([(name, job.result)])), _("what was found, as SARIF 2.1.0"))
    for n, maker in enumerate(makers, 1):
        title = _(maker.title)
        say(n, len(makers), title)
        pause()
        about: dict[str, Any] = {"name": maker.name, "title": title, "purpose": _(maker.purpose), "gaps": []}
        made_of.append(about)
        try:
            document = maker.make(job)
            for file in _forms(document, job, stem):
                if file.missing:
                    told.append(lacking(file.name, file.missing))
                yield _Entry(file.name, file.data, title, _(maker.held_by))
            about["gaps"] = list(document.gaps)
            about["pages"] = len(document.pictures)
        except (GivenUp, OSError, MemoryError):
            raise
        except Exception as fault:  # the other documents are worth having
            log.exception("the document %s could not be made", maker.name)
            failed.append(title)
            about["gaps"] = [_("A fault of the program stopped it ({fault}).").format(fault=type(fault).__name__)]


def _forms(document: Document, job: Job, stem: str) -> Iterator[File]:
    own = f"{stem}-{document.name}"
    for ending in forms_of(document):
        if ending in (".svg", ".png", ".dxf") and document.name != _SHEETS:
            continue
        for file in files_of(document, ending, job, own):
            pause()
            yield file._replace(name=_FOLDERS.get(ending, "") + file.name)
    for name, data in document.files:
        yield File(f"{document.name}/{name}", data)


def _checksums(listed: list[dict[str, Any]]) -> bytes:
    """As `sha256sum -c` reads them."""
    return "".join(f"{each['sha256']}  {each['name']}\n" for each in listed).encode()


def _contents(job: Job, listed: list[dict[str, Any]], made_of: list[dict[str, Any]]) -> bytes:
    """What lies here, for a person."""
    block, result = job.snapshot.title_block, job.result
    lines = [
        _("Hand-over pack: {boat}").format(boat=job.boat),
        _("Drawing {number}, revision {revision}, {date}").format(
            number=block.number or _("without number"),
            revision=block.revision or _("none"),
            date=block.date or _("without date"),
        ),
        _("Judged by {title}, edition {edition}: {summary}").format(
            title=_(result.title), edition=result.edition, summary=result.summary()
        ),
        "",
        *(f"{each['name']}: {each['what']}{_for(each['held_by'])}" for each in listed),
        "",
        *_left_out(made_of),
        *map(_, CAUTIONS),
    ]
    # what somebody wrote begins no line of its own, and a terminal that shows this obeys none of it
    return "".join(f"{visible(line)}\n" for line in lines).encode()


def _left_out(made_of: list[dict[str, Any]]) -> list[str]:
    """What the documents do not hold, and why, each under its name."""
    lines = [_("{title}: {gap}").format(title=about["title"], gap=gap) for about in made_of for gap in about["gaps"]]
    return [_("What is left out, and why"), *lines, ""] if lines else []


def _for(held_by: str) -> str:
    return " " + _("(for {people})").format(people=held_by) if held_by else ""


def _manifest(job: Job, listed: list[dict[str, Any]], made_of: list[dict[str, Any]]) -> bytes:
    block, result = job.snapshot.title_block, job.result
    plain = {
        "made_by": "linewright",
        "version": version(),
        "vessel": job.snapshot.vessel.name,
        "drawing": {
            "file": job.file_name,
            "number": block.number,
            "revision": block.revision,
            "date": block.date,
            "status": block.document_status,
        },
        "judged": {"book": result.book, "title": result.title, "edition": result.edition, **result.counts()},
        "documents": made_of,
        "files": listed,
        "cautions": [_(text) for text in CAUTIONS],
    }
    return (json.dumps(plain, indent=2, sort_keys=True, ensure_ascii=False) + "\n").encode(
        "utf-8", "replace"
    )  # a name of a file may be no text

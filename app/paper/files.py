"""Pictures as files: one PDF, or one SVG, PNG or DXF a page, numbered, beside each other."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple

from engine.files.atomic import write_together
from engine.installation import Snapshot
from engine.naming import natural
from engine.pausing import pause
from engine.picture import Picture, Text, missing_characters
from engine.words import _, ngettext

__all__ = [
    "DRAWN",
    "About",
    "File",
    "Put",
    "about_of",
    "lacking",
    "not_of_this_set",
    "numbered",
    "page_files",
    "write_files",
]

DRAWN = (".pdf", ".svg", ".png", ".dxf")

_IN_MEMORY = 64 << 20  # bytes
_TOLD = 20  # characters told one by one


class File(NamedTuple):
    """A file to be written; `missing`: characters the font lacks, drawn as boxes."""

    name: str
    data: bytes
    missing: str = ""


class About(NamedTuple):
    """What a PDF says of itself."""

    title: str
    author: str = ""
    language: str = "en"
    subject: str = ""
    keywords: tuple[str, ...] = ()


def about_of(snapshot: Snapshot, title: str) -> About:
    """What the PDF of a drawing's document says of itself: the boat and the title, whose it is, number and revision."""
    vessel, block = snapshot.vessel.name, snapshot.title_block
    revision = _("revision {index}").format(index=block.revision) if block.revision else ""
    return About(
        title=title if vessel in title else ", ".join(part for part in (vessel, title) if part),
        author=block.creator or block.legal_owner,
        language=block.language,
        subject=", ".join(part for part in (block.document_type, block.title, block.supplementary_title) if part),
        keywords=tuple(part for part in (block.number, revision, vessel, block.document_status) if part),
    )


def numbered(stem: str, ending: str, count: int) -> list[str]:
    """Names of the files of a set: "plan.svg", or "plan-01.svg" and on."""
    if count == 1:
        return [stem + ending]
    digits = max(2, len(str(count)))
    return [f"{stem}-{n:0{digits}}{ending}" for n in range(1, count + 1)]


def page_files(pictures: Sequence[Picture], ending: str, stem: str, about: About, dpi: int = 150) -> Iterator[File]:
    """The files of `pictures` in the form of `ending`, one of `DRAWN`, each made when it is asked for.

    `dpi` is that of PNG. Raises `TooManyDots` (`app.paper.png`) before the first PNG.
    """
    names = numbered(stem, ending, len(pictures))
    if ending == ".pdf":
        data, missing = _pdf(pictures, about)
        yield File(stem + ending, data, missing)
    elif ending == ".png":
        from app.paper.png import png_pages

        data, missing = _pdf(pictures, about)
        for name, page in zip(names, png_pages(data, dpi), strict=True):
            pause()
            yield File(name, page, missing)
    else:
        for picture, name, page in zip(pictures, names, _vectors(pictures, ending, names), strict=True):
            pause()
            yield File(name, page, _missing(picture))


def _pdf(pictures: Sequence[Picture], about: About) -> tuple[bytes, str]:
    from app.paper.pdf import pdf_bytes

    data, written = pdf_bytes(pictures, **about._asdict())
    return data, written.missing_characters


def _vectors(pictures: Sequence[Picture], ending: str, names: Sequence[str]) -> Iterator[bytes]:
    if ending == ".svg":
        from app.paper.svg import svg_set

        yield from svg_set(pictures, names)
        return
    from app.paper.dxf import dxf_bytes

    for picture in pictures:
        yield dxf_bytes(picture)


def _missing(picture: Picture) -> str:
    texts = (p.text for p in (*picture.primitives, *picture.around) if isinstance(p, Text))
    return "".join(dict.fromkeys(c for text in texts for c in missing_characters(text)))


class Put(NamedTuple):
    """Files written, in order, and the characters the font lacks, drawn as boxes."""

    paths: tuple[Path, ...]
    missing: str


def write_files(files: Iterable[File], target: Path) -> Put:
    """Write files beside `target`, a single one as `target` itself.

    All are made, and on the disk, before the first takes its place; what does not fit into memory waits there too.
    Raises `OSError`.
    """
    with tempfile.SpooledTemporaryFile(_IN_MEMORY) as waiting:
        made: list[tuple[str, int]] = []
        missing: dict[str, None] = {}
        for file in files:
            waiting.write(file.data)
            made.append((file.name, len(file.data)))
            missing.update(dict.fromkeys(file.missing))
        waiting.seek(0)
        paths = [target.with_name(name) if len(made) > 1 else target for name, _size in made]
        write_together((path, waiting.read(size)) for path, (_name, size) in zip(paths, made, strict=True))
    return Put(tuple(paths), "".join(missing))


def lacking(path: Path | str, characters: str) -> str:
    """A sentence on characters the font lacks; what cannot be seen is told by its number."""
    told = [c if c.isprintable() else f"U+{ord(c):04X}" for c in dict.fromkeys(characters)]
    if len(told) > _TOLD:
        told = [*told[:_TOLD], _("{n} more").format(n=len(told) - _TOLD)]
    return _("{path}: the font lacks {characters}; boxes stand in their place").format(
        path=path, characters=", ".join(told)
    )


def not_of_this_set(target: Path, written: Sequence[Path]) -> str:
    """A sentence on files beside `target` that look like pages of the set just written and are not; "" for none."""
    like = re.compile(re.escape(target.stem) + r"(-\d{2,})?" + re.escape(target.suffix))
    own = {path.name for path in written}
    found = [p.name for p in target.parent.iterdir() if like.fullmatch(p.name) and p.name not in own and p.is_file()]
    if not found or target.suffix.lower() == ".pdf":
        return ""
    found.sort(key=natural)
    names = ", ".join(found) if len(found) <= 4 else _("{first} to {last}").format(first=found[0], last=found[-1])
    return ngettext(
        "{names} is not of this set; it is left as it was",
        "{names} are not of this set; they are left as they were",
        len(found),
    ).format(names=names)

"""A document of the pack: pages, tables, and what could not be made."""

from __future__ import annotations

from typing import NamedTuple

from app.paper.blocks import Block
from app.paper.table import Table
from engine.picture import Picture

__all__ = ["Document"]


class Document(NamedTuple):
    """What a maker gives. `pictures` become the PDF; `tables` the workbook, CSV and JSON; `files` lie beside them.

    `blocks`: what the pages are set from, where the document is written as running text (DOCX) too.
    `gaps` are sentences on what is left out and why: they go into the manifest, and the pages say them too.
    """

    name: str  # machine name, and the stem of its files
    title: str
    pictures: tuple[Picture, ...] = ()
    tables: tuple[Table, ...] = ()
    gaps: tuple[str, ...] = ()
    files: tuple[tuple[str, bytes], ...] = ()  # name, contents
    blocks: tuple[Block, ...] = ()
    author: str = ""  # where it is not whoever made the drawing

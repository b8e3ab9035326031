"""Tables as sheets: the same frame and display list as the drawing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from app.drawing.frame import TitleFields
from app.paper.pdf import Written, write_pictures
from app.paper.setting import column_widths, set_blocks
from app.paper.table import Table
from engine.picture import Picture

__all__ = ["column_widths", "table_pictures", "write_tables"]


def write_tables(
    tables: Sequence[Table], path: Path | str, *, size: str, fields: TitleFields, language: str = "en"
) -> Written:
    """Write tables as a PDF on paper of `size`. Raises `OSError` from the disk."""
    return write_pictures(
        table_pictures(tables, size, fields),
        path,
        title=fields.title,
        author=fields.legal_owner or fields.created_by,
        language=language,
    )


def table_pictures(tables: Sequence[Table], size: str, fields: TitleFields) -> tuple[Picture, ...]:
    """The tables, one below the other, on as many sheets as they need; `fields.sheet` and `sheets` are counted here."""
    return set_blocks(tables, size=size, fields=fields)

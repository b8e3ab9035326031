"""The bill of materials as one file: PDF, XLSX, CSV or JSON."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from app.drawing.frame import text_size
from app.drawing.title_block import TitleFields, title_fields
from app.handover.labels.signs import Sign
from app.handover.parts.bill import whole_bill
from app.handover.parts.wanted import PartsWanted
from app.paper.table import with_cautions
from engine.installation import Snapshot
from engine.words import _

__all__ = ["write_parts"]


def write_parts(
    snapshot: Snapshot,
    path: Path | str,
    fields: TitleFields | None = None,
    wanted: PartsWanted | None = None,
    before: Snapshot | None = None,
    signs: Sequence[Sign] | None = None,
) -> str:
    """Write the bill as PDF, XLSX, CSV or JSON, by the ending of `path`; returns characters drawn as boxes (PDF).

    `fields` carries what the check found for the title block of the PDF; `before` is the drawing as last issued;
    `signs` are those the book asks for. Raises `ValueError` for another ending, `OSError` from the disk.
    """
    tables = whole_bill(snapshot, wanted, before, signs)
    block = snapshot.title_block
    ending = Path(path).suffix.lower()
    if ending == ".pdf":
        from app.paper.pages import write_tables

        base = title_fields(snapshot) if fields is None else fields
        size = text_size(snapshot.settings.sheet_size)
        filled = base._replace(
            title=_("Bill of materials"), supplementary_title=base.title, document_type=_("Parts list")
        )
        return write_tables(tables, path, size=size, fields=filled, language=block.language).missing_characters
    tables = with_cautions(tables)
    if ending == ".xlsx":
        from app.paper.xlsx import write_xlsx

        write_xlsx(tables, path, title=_("Bill of materials"), author=block.creator)
    elif ending == ".csv":
        from app.paper.csvfile import write_csv

        write_csv(tables, path)
    elif ending == ".json":
        from app.paper.csvfile import write_json

        write_json(tables, path)
    else:
        raise ValueError(
            _("{path}: expected a name that ends in .pdf, .xlsx, .csv or .json, found {ending!r}").format(
                path=path, ending=Path(path).suffix
            )
        )
    return ""

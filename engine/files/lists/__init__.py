"""What is aboard as plain lists, in and out: CSV files, or the sheets of a workbook."""

from __future__ import annotations

from engine.files.lists.reading import LISTS, ListResult, read_lists
from engine.files.lists.rows import ListFile, RowFault, csv_bytes, csv_rows, csv_text_rows
from engine.files.lists.writing import list_losses, write_lists

__all__ = [
    "LISTS",
    "ListFile",
    "ListResult",
    "RowFault",
    "csv_bytes",
    "csv_rows",
    "csv_text_rows",
    "list_losses",
    "read_lists",
    "write_lists",
]

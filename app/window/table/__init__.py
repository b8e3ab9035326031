"""The table page: everything on the sheets as rows, the way in for a screen reader and for filling a survey."""

from __future__ import annotations

from app.window.table.page import TablePage

__all__ = ["TablePage"]

"""The particulars page: every field of what is chosen, made from the record's own annotations."""

from __future__ import annotations

from app.window.particulars.page import Particulars

__all__ = ["Particulars"]

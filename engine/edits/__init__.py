"""Every change there is. An edit is a frozen value; applying it returns its inverse. The only write path."""

from __future__ import annotations

from engine.edits.edit import Done, Edit, EditError, Put, SetFields, Several, apply, done, fill, touched
from engine.edits.history import History

__all__ = ["Done", "Edit", "EditError", "History", "Put", "SetFields", "Several", "apply", "done", "fill", "touched"]

"""Two drawings compared: every record, field by field, matched by id or, where ids differ, by likeness.

`differences` tells what differs as plain values, `told` says it in sentences. Nothing here reads a file or draws.
"""

from __future__ import annotations

from engine.comparing.differences import Differences, FieldChange, differences
from engine.comparing.likeness import Pair, matched_by_likeness
from engine.comparing.telling import Line, Section, told

__all__ = ["Differences", "FieldChange", "Line", "Pair", "Section", "differences", "matched_by_likeness", "told"]

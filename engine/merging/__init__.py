"""Three drawings made one: what two people changed apart, each from the same drawing.

`merge` takes both changes where they do not meet and lists what does as conflicts, to be decided one at a time: it is
called again with what was decided. Nothing here reads a file or asks anybody.
"""

from __future__ import annotations

from engine.merging.conflict import Choice, Conflict, MergeError
from engine.merging.merging import Merged, edit_to, merge
from engine.merging.telling import conflict_words, side_words

__all__ = ["Choice", "Conflict", "MergeError", "Merged", "conflict_words", "edit_to", "merge", "side_words"]

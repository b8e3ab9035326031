"""Two drawings compared, on paper: what differs in words, what the forms mean, then every sheet that shows some of it.

`redlined_set` makes the pages, `write_redlines` the files; the command and the window call the latter.
"""

from __future__ import annotations

from app.handover.redlines.pages import redlined_set
from app.handover.redlines.writing import Written, write_redlines

__all__ = ["Written", "redlined_set", "write_redlines"]

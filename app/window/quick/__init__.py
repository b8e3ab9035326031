"""The small line one types into over the sheet: what to place, what to set, what comes next at the end of a run."""

from __future__ import annotations

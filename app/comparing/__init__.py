"""What differs between two drawings: as text for a terminal, as JSON for machines."""

from __future__ import annotations

from app.comparing.report import as_json, as_text

__all__ = ["as_json", "as_text"]

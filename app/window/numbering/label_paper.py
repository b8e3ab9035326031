"""What the command line is asked for, to write the labels to change."""

from __future__ import annotations

from pathlib import Path

from app.window.printing import Paper

__all__ = ["LabelPaper"]


class LabelPaper(Paper):
    """The list beside a drawing that itself is not written."""

    def asked(self, drawing: Path, made: Path) -> list[str]:
        """The command, the drawing, where the list goes."""
        return [self.command, str(drawing), "--list", str(made), *self.options]

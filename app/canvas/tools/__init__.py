"""The tools: each hears pointer and keys, shows a preview on the board, and ends in one edit."""

from __future__ import annotations

from app.canvas.tool import Tool
from app.canvas.tools.choosing import Choosing
from app.canvas.tools.operating import Operating
from app.canvas.tools.panning import Panning
from app.canvas.tools.placing import Placing
from app.canvas.tools.remarking import Remarking
from app.canvas.tools.running import Running
from app.canvas.tools.scaling import Scaling
from app.canvas.tools.setting import Setting

__all__ = ["Choosing", "Operating", "Panning", "Placing", "Remarking", "Running", "Scaling", "Setting", "tools"]


def tools() -> dict[str, type[Tool]]:
    """Every tool by its name; made with the board it works on."""
    return {cls.NAME: cls for cls in (Choosing, Placing, Running, Operating, Panning, Setting, Remarking, Scaling)}

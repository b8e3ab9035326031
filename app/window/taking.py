"""Taking up a tool of the board, and going on to place something."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from engine.words import _

if TYPE_CHECKING:
    from app.drawing.changes import Made
    from app.window.main import Window

__all__ = ["place_kind", "set_template", "show_template", "take_tool", "tell_tool"]


def take_tool(window: Window, name: str) -> None:
    """Take up a tool; to place equipment, first choose which."""
    from app.canvas.tools import tools

    if name == "place":
        window.show_page("kinds")
        return
    window.board.take_up(tools()[name](window.board))
    window.board.setFocus()


def place_kind(window: Window, kind: str) -> None:
    """Go on to placing a kind of equipment."""
    from app.canvas.tools import tools

    if window.document.read_only:
        window.foot.refuse(_("The drawing is open to read only: {why}").format(why=window.document.read_only))
        return
    if not window.document.sheet:
        window.foot.refuse(_("There is no sheet to place it on; add one first."))
        return
    window.board.take_up(tools()["place"](window.board, kind))
    window.board.setFocus()
    window.desk.settings.set("kinds_used", list(window.pages.kinds_list().recent))


def set_template(window: Window, making: Callable[[int, int], Made]) -> None:
    """Go on to clicking where a template is to stand."""
    from app.canvas.tools.setting import Setting

    if not window.document.sheet:
        window.foot.refuse(_("There is no sheet to place it on; add one first."))
        return
    window.board.take_up(Setting(window.board, making))
    window.board.setFocus()


def show_template(window: Window, made: Made) -> None:
    """What was placed, chosen on its sheet."""
    from app.canvas.tools.setting import show_set

    show_set(window.board, made.items)


def tell_tool(window: Window, name: str) -> None:
    """What a tool does, at the foot."""
    from app.canvas.tools import tools

    tool = tools().get(name)
    window.foot.hint(_(tool.HINT) if tool is not None else "")
    window.menus.refresh()

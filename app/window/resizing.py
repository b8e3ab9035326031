"""A sheet made smaller than what is drawn on it: what does not fit is named, and three ways out are offered."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.drawing.changes.sheet_set import off_paper, resize_sheet
from app.drawing.frame import SIZES
from app.window.document import Change
from engine.words import _, ngettext

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Resizing"]

_MOST = 6  # names told


class Resizing(QObject):
    """Watches the paper of the sheets. Whoever undoes the change has answered."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self._window = window
        self._sizes = self._now()
        self._told = ""  # the sheet that is asked about
        window.document.changed.connect(self._changed)

    def _now(self) -> dict[str, str]:
        return {item: record.size for item, record in self._window.document.installation.tables["sheets"].items()}

    def _changed(self, change: Change) -> None:
        document, banner = self._window.document, self._window.banner
        before, self._sizes = self._sizes, self._now()
        if self._told and (self._told not in self._sizes or not off_paper(document.snapshot(), self._told)):
            banner.drop("paper")
            self._told = ""
        for item, size in self._sizes.items():
            was = before.get(item, size)
            if was == size or not _is_smaller(size, was):
                continue
            out = off_paper(document.snapshot(), item)
            if out and change.how == "do":
                self._tell(item, was, size, out)

    def _tell(self, item: str, was: str, size: str, out: list[str]) -> None:
        window = self._window
        self._told = item
        number = window.document.sheets().index(item) + 1
        names = ", ".join(out[:_MOST])
        if len(out) > _MOST:
            names = _("{names} and {n} more").format(names=names, n=len(out) - _MOST)
        text = ngettext(
            "Sheet {number} is {size} now, and {names} does not fit on it.",
            "Sheet {number} is {size} now, and {names} do not fit on it.",
            len(out),
        ).format(number=number, size=size, names=names)
        buttons = [
            (_("Keep {size}, cut it at printing").format(size=was), partial(self._keep, item, was, size)),
        ]
        if "tidy" in window.menus.of:
            buttons.append((_("Lay it out again"), partial(self._lay_out, item)))
        buttons.append((_("Leave it so"), partial(self._leave, item)))
        window.banner.tell("paper", text, *buttons, closable=False)

    def _keep(self, item: str, was: str, size: str) -> None:
        window = self._window
        self._leave(item)
        if window.try_edit(partial(resize_sheet, window.document.snapshot(), item, was)):
            window.foot.say(
                _("It stays {was}. “Hand over”, “Cut larger sheets into” {size}, prints it in pieces.").format(
                    was=was, size=size
                )
            )

    def _lay_out(self, item: str) -> None:
        window = self._window  # the question stands until everything fits: there may be no room at all
        window.document.turn_to(item)
        window.document.select()
        window.menus.call("tidy")

    def _leave(self, _item: str) -> None:
        self._told = ""
        self._window.banner.drop("paper")


def _is_smaller(size: str, was: str) -> bool:
    (wide, high), (wide_was, high_was) = SIZES[size], SIZES[was]
    return wide < wide_was or high < high_was

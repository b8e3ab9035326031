"""Going to a thing, a field or what a note speaks of, and back to where one was."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Going"]

BACK = 50  # places that are kept


class Going:
    """Where one is led in the window, and the places one came from."""

    def __init__(self, window: Window) -> None:
        self._window = window
        self.been: list[tuple[str, tuple[str, ...]]] = []  # (sheet, selection) to go back to

    def noted(self, number: int) -> None:
        """A note in the margin, or its flag, was clicked: there is more to it on the page of notes; show the thing.

        Below zero it is a deficiency: its page opens at it.
        """
        if number < 0:
            from app.window.deficiencies.opening import show_deficiency

            show_deficiency(self._window, -number)
            return
        judgement = self._window.document.judgement
        if judgement is None:
            return
        key = next((key for key, n in judgement.numbers.items() if n == number), "")
        if key:
            self.show_finding(key)
            self._window.stating.offer(key)
            if self._window.page == "notes":
                self._window.pages.notes().show_finding(key)

    def show_finding(self, key: str) -> None:
        """Go to what a finding, or what could not be judged, speaks of."""
        from app.window.notes.lines import ids_of

        judgement = self._window.document.judgement
        if judgement is None:
            return
        ids = ids_of(judgement.result, key)
        if ids is None:
            return
        here = [item for item in ids if self._window.document.find(item) is not None]
        self.remember()
        if here:
            self._window.board.reveal(here[0])
            self._window.document.select(*here)
        number = judgement.numbers.get(key)
        if number is not None:
            self._window.board.show_note(number)

    def reveal(self, item: str) -> None:
        """Show a thing on its sheet."""
        self.remember()
        self._window.board.reveal(item)
        self._window.document.select(item)

    def show_field(self, item: str, field: str) -> None:
        """The particulars of something, at one field."""
        self.remember()
        self._window.board.reveal(item)
        self._window.document.select(item)
        if self._window.page != "particulars":
            self._window.show_page("particulars")
        self._window.pages.particulars().go_to_field(item, field)

    def size(self, *items: str) -> None:
        """Show what things need and why."""
        here = [item for item in items if self._window.document.find(item) is not None]
        if here:
            self._window.board.reveal(here[0])
            self._window.document.select(*here)
        if self._window.page != "sizes":
            self._window.show_page("sizes")
        self._window.pages.take_focus()

    def remember(self) -> None:
        """This place is one to come back to."""
        self.been.append((self._window.document.sheet, self._window.document.selection))
        del self.been[:-BACK]
        self._window.menus.refresh()

    def back(self) -> None:
        """To where one was before a note or row led elsewhere."""
        if not self.been:
            return
        sheet, selection = self.been.pop()
        if sheet in self._window.document.installation.tables["sheets"]:
            self._window.document.turn_to(sheet)
        self._window.document.select(*selection)
        if selection:
            self._window.board.reveal(selection[0])
        self._window.menus.refresh()

"""The layer of figures over the sheet, as the window tells of it: shown, remembered, and why it cannot be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["Overlay"]


class Overlay:
    """What lies over the sheet of a window."""

    def __init__(self, window: Window) -> None:
        self._window = window

    def show(self, what: str) -> None:
        """Lay figures over the sheet, "" none; remembered."""
        self._window.document.want_layer(what)
        self._window.desk.settings.set("layer", what)
        self._window.foot.say(self._layer_words() if what else _("No figures lie over the sheet."))
        self._window.menus.refresh()

    def figured(self) -> None:
        """Where what is to lie over the sheet cannot be worked out: say so, once."""
        document = self._window.document
        what = document.wanted_layer
        found = document.installation.get("conditions", document.condition)
        condition = document.condition if what == "flow" and found is not None else ""
        why = document.figures.stopped.get((what, condition), "")
        if why:
            told = _("currents and drops") if what == "flow" else _("fault currents")
            self._window.foot.say(
                _("No {figures} over the sheet: they could not be worked out ({why}).").format(figures=told, why=why)
            )

    def _layer_words(self) -> str:
        """What lies over the sheet."""
        document = self._window.document
        if document.state is not None:
            return _("No figures lie over a state that is not stored; keep it as a condition to see them.")
        if document.wanted_layer == "faults":
            return _("Over the sheet: fault currents at protective devices and buses, the batteries full or weakest.")
        condition = document.installation.get("conditions", document.condition)
        name = _("as drawn") if condition is None else condition.name
        return _("Over the sheet: currents and drops, {name}. ≥ marks a least value.").format(name=name)

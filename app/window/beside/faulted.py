"""Rules that were stopped, ours by a fault of the program or a person's own, told over the sheet and tried again."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from app.window.beside.watching import switch_on
from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["tell_faulted"]

KEY = "rules"


def tell_faulted(window: Window, rules: tuple[str, ...]) -> None:
    """Say which rules do not judge, once for the same ones: put away it stays away."""
    if rules == window.property(KEY):
        return
    window.setProperty(KEY, rules)
    if not rules:
        window.banner.drop(KEY)
        return
    told = _("Stopped, and off until they are tried again: {rules}. All other rules judge on; the notes say why.")
    window.banner.tell(KEY, told.format(rules=", ".join(rules)), (_("Try again"), partial(_try_again, window)))


def _try_again(window: Window) -> None:
    switch_on()
    window.setProperty(KEY, ())
    window.banner.drop(KEY)
    for each in window.desk.windows:
        each.document.judge_anew()

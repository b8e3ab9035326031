"""Actions that tell about the program."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.actions.action import Action
from engine.words import N_

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["ACTIONS"]


def _find(window: Window) -> None:
    from app.window.finding_actions import find_action

    find_action(window)


def _keys(window: Window) -> None:
    from app.window.telling import show_keys

    show_keys(window)


def _about_rule(window: Window) -> None:
    from app.window.help.opening import about_chosen_rule

    about_chosen_rule(window)


def _rules(window: Window) -> None:
    window.show_page("rules", toggle=True)


def _rules_shown(window: Window) -> bool:
    return window.page == "rules"


def _cautions(window: Window) -> None:
    from app.window.telling import show_cautions

    show_cautions(window)


def _about(window: Window) -> None:
    from app.window.telling import show_about

    show_about(window)


def _first(window: Window) -> None:
    from app.window.first.sheet import show_first

    show_first(window)


ACTIONS = (
    Action(
        "find_action", N_("Find an action…"), N_("Type a word of what is wanted and press Enter."), _find, ("Ctrl+J",)
    ),
    Action("keys", N_("Keys"), N_("Every key and what it does."), _keys, ("F1",)),
    Action(
        "about_rule",
        N_("About this rule"),
        N_("What the rule of the chosen finding checks, why, what to do, with both ways drawn."),
        _about_rule,
        ("Shift+F1",),
        break_before=True,
    ),
    Action(
        "rules",
        N_("Rules"),
        N_("Every rule: what it checks, its limits in each book, an example that fails and one that passes."),
        _rules,
        ("Ctrl+F1",),
        checked=_rules_shown,
        short=N_("Rules"),
    ),
    Action(
        "first_sheet",
        N_("How to draw: the first sheet"),
        N_("Open a small drawing that shows how to draw, as a copy of its own."),
        _first,
        break_before=True,
    ),
    Action("cautions", N_("Cautions"), N_("What this program does not do for you."), _cautions),
    Action("about", N_("About Linewright"), N_("Version, font, where the log stands."), _about),
)

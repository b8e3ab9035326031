"""Which rule help is wanted about, and the way to its page."""

from __future__ import annotations

from typing import TYPE_CHECKING

from engine.words import _

if TYPE_CHECKING:
    from app.window.main import Window

__all__ = ["about_chosen_rule", "chosen_rule", "show_rule"]


def show_rule(window: Window, slug: str) -> None:
    """The page of a rule, the keyboard in it."""
    if window.page != "rules":
        window.show_page("rules")
    page = window.pages.rules()
    page.show_rule(slug)
    page.whole.setFocus()


def chosen_rule(window: Window) -> str:
    """The rule of the chosen note, else of the first open finding about what is selected; "" where there is none."""
    if window.page == "notes":
        line = window.pages.notes().current_line()
        if line is not None and line.title:
            return line.title
    judgement = window.document.judgement
    selected = set(window.document.selection)
    if judgement is None or not selected:
        return ""
    found = [f for f in judgement.result.findings if selected & set(f.ids)]
    found.sort(key=lambda f: (f.ids[0] not in selected, judgement.numbers.get(f.key, 0)))
    return found[0].rule if found else ""


def about_chosen_rule(window: Window) -> None:
    """The page of the chosen finding's rule; where none is chosen the list of all, and a word of why."""
    slug = chosen_rule(window)
    if slug:
        show_rule(window, slug)
        return
    window.show_page("rules")
    window.foot.say(_("No finding is chosen: here are all the rules."))

"""What a person can do, each action once, as data: menus, the key list and "find an action" derive from it. Qt."""

from __future__ import annotations

from app.actions import (
    arranging,
    change,
    comfort,
    comparing,
    drawing,
    fast,
    help_pages,
    labelling,
    looking,
    merging,
    naming,
    pages,
    remarking,
    seeking,
    sheeting,
    survey_pages,
    surveying,
    tidying,
    tools,
    tracing,
    underlaying,
    walking,
)
from app.actions.action import Action
from engine.words import N_

__all__ = ["AREAS", "Action", "action_named", "every"]

# menus in their order: (key, title, actions)
AREAS: tuple[tuple[str, str, tuple[Action, ...]], ...] = (
    ("drawing", N_("&Drawing"), drawing.ACTIONS),
    (
        "change",
        N_("&Change"),
        (
            *change.ACTIONS,
            *labelling.ACTIONS,
            *remarking.ACTIONS,
            *underlaying.ACTIONS,
            *tidying.ACTIONS,
            *naming.ACTIONS,
        ),
    ),
    ("arrange", N_("&Arrange"), arranging.ACTIONS),
    ("look", N_("&Look"), (*looking.ACTIONS, *seeking.ACTIONS, *sheeting.VIEW_ACTIONS)),
    ("sheets", N_("&Sheets"), (*sheeting.ACTIONS, *comparing.ACTIONS, *merging.ACTIONS)),
    ("survey", N_("Sur&vey"), (*survey_pages.ACTIONS, *surveying.ACTIONS, *walking.ACTIONS, *tracing.ACTIONS)),
    ("tools", N_("&Tools"), (*tools.ACTIONS, *fast.ACTIONS)),
    ("pages", N_("&Pages"), (*pages.ACTIONS, *comfort.ACTIONS)),
    ("help", N_("&Help"), help_pages.ACTIONS),
)


def every() -> tuple[Action, ...]:
    """All actions, in the order of the menus."""
    return tuple(action for _key, _title, actions in AREAS for action in actions)


def action_named(name: str) -> Action:
    """The action called `name`. Raises `KeyError`."""
    for action in every():
        if action.name == name:
            return action
    raise KeyError(name)

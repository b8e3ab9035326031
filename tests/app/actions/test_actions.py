"""Actions as data: each once, told, reachable, no key twice."""

from __future__ import annotations

from collections import Counter

import pytest
from PySide6.QtGui import QKeySequence

from app.actions import AREAS, action_named, every

pytestmark = pytest.mark.qt


def test_names_are_unique_and_found() -> None:
    assert not [name for name, n in Counter(a.name for a in every()).items() if n > 1]
    for action in every():
        assert action_named(action.name) is action
    with pytest.raises(KeyError):
        action_named("no such action")


def test_no_key_does_two_things() -> None:
    keys = Counter(QKeySequence(key).toString() for action in every() for key in action.keys)
    assert not [key for key, n in keys.items() if n > 1]
    assert "" not in keys  # every key is one Qt knows


def test_a_single_letter_works_at_the_board_only() -> None:
    for action in every():
        for key in action.keys:
            if "+" not in key and len(key) == 1:
                assert action.at_board, action.name


def test_every_action_says_what_it_does_in_a_sentence() -> None:
    for action in every():
        assert action.title.strip(), action.name
        assert action.tip.endswith("."), action.name
        assert action.tip[0].isupper(), action.name


def test_no_two_actions_of_a_menu_have_one_title_and_menus_have_their_letters() -> None:
    letters = [title[title.index("&") + 1] for _key, title, _actions in AREAS]
    assert len(set(letters)) == len(letters)
    for _key, _title, actions in AREAS:
        titles = [action.title for action in actions]
        assert len(set(titles)) == len(titles)

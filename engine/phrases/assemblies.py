"""Templates by the words of their titles: they come up in the same list as kinds of equipment."""

from __future__ import annotations

from engine.phrases.kinds import words_of
from engine.words import _

__all__ = ["template_phrases"]

_MOST = 4


def template_phrases(text: str) -> list[tuple[str, str, str]]:
    """Templates whose title has every typed word: (name, title, what it is for)."""
    from engine.templates import templates  # only when somebody types

    words = words_of(text)
    if not words or all(len(w) < 3 for w in words):
        return []
    found = []
    for template in templates().values():
        title = words_of(f"{_(template.title)} {template.name.replace('-', ' ')}")
        if all(any(t.startswith(w) for t in title) for w in words):
            found.append((template.name, _(template.title), _(template.purpose)))
    return found[:_MOST]

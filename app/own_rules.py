"""The own rules of whoever runs the program: where they come from, what they are, what they say of a drawing.

They come from installed distributions and from the folder in the person's own settings, and from nowhere else. Where
there is none nothing more is imported and no process is started (`app.own_rules_runner`).
"""

from __future__ import annotations

import atexit
from typing import TYPE_CHECKING

from app.settings import DEFAULTS, Settings
from engine.installation.model import Snapshot
from engine.rules.own import Heard, announce, find

if TYPE_CHECKING:
    from app.own_rules_runner import OwnRules

__all__ = ["described", "heard", "of_the_person"]

LONGEST_S = 3600.0  # that a rule or its file can be given

_kept: dict[tuple[object, ...], OwnRules] = {}  # those last asked for


def of_the_person(settings: Settings | None = None) -> OwnRules | None:
    """The person's own rules, `None` where there are none; the same, with their process, while nothing changes."""
    settings = settings or Settings()
    sources, faults = find(settings.get("rules_folder"))
    if not sources and not faults:
        return None
    limit_s, start_s = _seconds(settings, "rules_limit_s"), _seconds(settings, "rules_start_s")
    key = (sources, faults, limit_s, start_s)
    if key not in _kept:
        from app.own_rules_runner import OwnRules

        close()
        _kept[key] = OwnRules(sources, faults, limit_s, start_s)
    return _kept[key]


def described() -> Heard:
    """What they are; none is run on a drawing."""
    own = of_the_person()
    if own is None:
        announce((), are_all=True)
        return Heard()
    return own.describe()


def heard(snapshot: Snapshot, book: str | None = None, proving: bool = False) -> Heard | None:
    """What they say of a drawing, judged by a book as `engine.check.check` does. Raises `BookError`."""
    own = of_the_person()
    if own is None:
        return None
    from engine.books import load, load_beside

    return own.judge(snapshot, load(book) if book else load_beside(snapshot.settings.book, None), proving)


@atexit.register
def close() -> None:
    """End their process."""
    for own in _kept.values():
        own.close()
    _kept.clear()


def _seconds(settings: Settings, name: str) -> float:
    value = float(settings.get(name))
    return value if 0 < value <= LONGEST_S else float(DEFAULTS[name])

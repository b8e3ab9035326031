"""Rules of the program that are disabled as long as this process lives: each was stopped by a fault of the program.

Only the study process disables any (`app.worker`): what is asked for at a terminal runs once. A disabled rule says
nothing and counts as stopped: every thing it looks at is not judged.
"""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["DisabledRule", "disable", "disabled", "only_disabled"]

_WHY: dict[str, str] = {}


class DisabledRule(Exception):
    """A rule was not run because it is disabled; says why, in words that follow *a fault of the program*."""


def disable(slug: str, why: str) -> None:
    """Run a rule no more; the first reason stands."""
    _WHY.setdefault(slug, why)


def only_disabled(why: Mapping[str, str]) -> None:
    """Disable these, each for its reason, and no others."""
    _WHY.clear()
    _WHY.update(why)


def disabled() -> Mapping[str, str]:
    """Those that are disabled, and why."""
    return _WHY

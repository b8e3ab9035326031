"""Actions of a survey: deficiencies."""

from __future__ import annotations

from app.actions.action import Action

__all__ = ["ACTIONS"]

ACTIONS: tuple[Action, ...] = ()

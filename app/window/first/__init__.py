"""The first sheet: a drawing that shows how to draw."""

from __future__ import annotations

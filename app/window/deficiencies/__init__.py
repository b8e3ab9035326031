"""Deficiencies in the window: marked at the board in one line, listed and kept on their page, photographed."""

from __future__ import annotations

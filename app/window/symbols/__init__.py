"""Symbols in the window: which one a piece is drawn with."""

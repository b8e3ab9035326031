"""Bringing another drawing into the open one: both made from the same, what meets decided one at a time."""

"""Kinds of equipment: shore."""

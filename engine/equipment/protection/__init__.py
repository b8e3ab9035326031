"""Kinds of equipment: protection."""

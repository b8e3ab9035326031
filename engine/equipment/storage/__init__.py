"""Kinds of equipment: storage."""

"""Kinds of equipment: measurement."""

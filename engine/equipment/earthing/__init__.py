"""Kinds of equipment: earthing."""

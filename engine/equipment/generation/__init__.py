"""Kinds of equipment: generation."""

"""Kinds of equipment: switching."""

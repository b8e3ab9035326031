"""Kinds of equipment: distribution."""

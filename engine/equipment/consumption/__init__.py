"""Kinds of equipment: consumption."""

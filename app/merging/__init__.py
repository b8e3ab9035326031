"""Drawings brought together in a process of their own: what the window asks and is told. No Qt."""

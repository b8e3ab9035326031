"""Revisions: begun and issued."""

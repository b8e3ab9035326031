"""Solving networks of numbers: no equipment, no words."""

"""Flows, faults, energy and sizes as text for a terminal."""

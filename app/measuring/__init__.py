"""Measured values, asked of the study process."""

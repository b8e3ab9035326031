"""Rules: record."""

"""Rules: protection."""

"""Rules: transfer."""

"""Rules: voltage."""

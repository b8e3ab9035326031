"""Commands that bring drawings together."""

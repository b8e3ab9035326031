"""Commands of a survey."""

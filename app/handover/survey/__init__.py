"""The parts of a survey report."""

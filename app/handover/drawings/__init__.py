"""What stands before the sheets of the drawing set, and the set as a whole."""

"""Find anything on the drawing."""

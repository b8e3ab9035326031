"""Photographs in the window: taken, shown in a strip, kept beside the drawing."""

"""Help in the window: the page of every rule."""

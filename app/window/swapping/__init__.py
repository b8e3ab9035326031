"""Another kind in the place of what is chosen."""

"""The page of runs as they are traced, and of what is still to be traced."""

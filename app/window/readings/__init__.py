"""The page of measured values: typed at the chosen thing, compared at once, kept with the instrument."""

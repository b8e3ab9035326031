"""The page of templates: which, its questions, and placing it."""

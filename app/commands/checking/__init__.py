"""What `linewright check` can do besides telling what is found."""

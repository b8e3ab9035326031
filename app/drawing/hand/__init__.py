"""What a person set on a sheet by hand: places of labels, corners of runs."""

"""What the graph means electrically: conductors, switch states, protection coverage, sources that meet."""

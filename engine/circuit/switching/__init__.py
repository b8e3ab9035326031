"""What can be fed, what a failure takes, in which order to switch, how to make dead."""

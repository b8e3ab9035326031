"""What a person can do, each action once, as data. Qt only where it meets the window."""

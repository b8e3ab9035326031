"""What is still to be traced aboard."""

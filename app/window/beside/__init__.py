"""Processes of our own beside the window: started, told and heard in frames, told of when they end."""

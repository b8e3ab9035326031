"""What makes the window one's own: looks, preferences, history in words, how a drawing was looked at last."""

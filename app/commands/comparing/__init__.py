"""Commands that lay two drawings side by side."""

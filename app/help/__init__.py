"""The page of every rule, made from the rule itself: text, limits by book, drawn examples. No Qt, no paper."""

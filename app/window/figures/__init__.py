"""The page of operating conditions: loads and their hours, banks, charging, curves, and what all of it rests on.

`rows`, `facts`, `curves`, `edits`: what is shown and changed, no Qt. `loads`, `lists`, `plot`, `head`: the parts of the
page.
"""

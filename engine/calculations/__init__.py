"""Calculation sheets as figures: for every circuit what was put into a formula, what came out and what is allowed.

Nothing is worked out here a second time: figures are those of the analyses, verdicts those of the rules.
"""

"""Deficiencies on a sheet: numbered notes with a square in the margin, a square flag at the thing.

The numbers of their notes count below zero: note 3 is a finding, in a circle, note -3 deficiency 3, in a square. Of
one that is closed only the corners of the square are drawn, in grey, and its note says so.
"""

from __future__ import annotations

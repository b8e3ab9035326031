"""The drawing as a whole: before and after the work, its systems of voltage, on other paper, since its last issue."""

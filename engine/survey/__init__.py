"""A survey aboard: the walk by place with what was seen, and measured values against what was computed."""

"""Schedules: one table a file, from the model and from what the study of it says."""

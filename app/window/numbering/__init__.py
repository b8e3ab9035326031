"""New designations: shown before they are given, and the labels to change."""

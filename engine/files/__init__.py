"""The drawing file and the lists: reading, writing, migrating."""

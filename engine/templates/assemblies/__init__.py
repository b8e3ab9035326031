"""Every template, one file each."""

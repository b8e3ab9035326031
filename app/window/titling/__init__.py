"""The title block and the record of revisions, in the window."""

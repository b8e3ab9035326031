"""Print: the drawing set as PDF in the place of the sheet, written to a file or sent to the system's printer."""

"""The page of surveys in the window: particulars, begun anew or as a follow-up, the report looked at and written."""

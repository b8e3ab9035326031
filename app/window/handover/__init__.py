"""Handing over: which documents are made, what they look like on paper, where they are written."""

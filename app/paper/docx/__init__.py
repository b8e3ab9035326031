"""Running text as DOCX: the same blocks that are set on pages, as headings, paragraphs, tables and pictures."""

"""Display lists and tables to files. The only importer of reportlab and XlsxWriter; no window."""

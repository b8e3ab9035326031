"""The open drawing beside another: a process that compares, marks over the sheet, the older sheet, the list."""

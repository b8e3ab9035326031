"""The window: what a person sees round the sheet, pages, dialogs, files. Qt."""

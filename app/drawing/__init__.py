"""From an installation to one display list per sheet. No window, no paper."""

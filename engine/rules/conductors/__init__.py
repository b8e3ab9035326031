"""Rules of what a conductor carries and loses."""

"""What edits rules offer are made of, and the trial that each passes before it is offered."""

"""Rules of charging and energy."""

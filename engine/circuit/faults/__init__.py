"""Prospective fault currents, and what protective devices do about them."""

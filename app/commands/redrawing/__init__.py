"""Commands that draw anew what a drawing holds already."""

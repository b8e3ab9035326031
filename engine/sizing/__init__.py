"""What conductor, what device, what bank: the arithmetic of the rules run backwards."""

from engine.sizing.answers import size, sizes

__all__ = ["size", "sizes"]

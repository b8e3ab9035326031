"""What conductor, what device, what bank: the arithmetic of the rules run backwards."""

"""The page that tells why nothing is said of a thing."""

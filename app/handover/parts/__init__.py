"""What is to be bought: equipment, cable and how it is cut from drums, what goes on its ends, fuses, spares, labels."""

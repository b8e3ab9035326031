"""Labels aboard: panel legends, run markers, device plates, signs the book asks for, strips of old panels."""

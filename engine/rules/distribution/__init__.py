"""Rules of buses, switches and banks."""

"""Rules of measured values: what was measured against what was computed, recorded or asked for."""

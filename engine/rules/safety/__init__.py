"""Rules of shock, stray current and ignition: protective earth, residual current, shore power, petrol and gas."""

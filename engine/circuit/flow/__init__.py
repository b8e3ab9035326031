"""What flows where: currents and volts in an operating condition, and while a motor starts."""

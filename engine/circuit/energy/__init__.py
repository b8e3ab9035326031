"""Energy a day, how long a bank lasts, how long it takes to refill."""

"""The page of failures and switching: what is fed when something fails, orders, how something is made dead."""

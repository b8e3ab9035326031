"""The page of sizes: what the chosen things need, the reasons, and the edit that fits it."""

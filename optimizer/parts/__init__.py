"""Parts that can be bought, wound, weighed and paid for: see `catalogue` for the keys and `prices` for the bill."""

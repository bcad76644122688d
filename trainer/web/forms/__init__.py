"""What pages take in: one module a blueprint, every text limited, only the named fields."""

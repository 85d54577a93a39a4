"""The way of the rope: where the winch stands, what it runs over, what it does on the way."""

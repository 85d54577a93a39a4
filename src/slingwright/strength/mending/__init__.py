"""What would make it hold: remedies, what to buy or cut, a wider or narrower frame."""

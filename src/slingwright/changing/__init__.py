"""What to change: what-if, next trial, search, sensitivity."""

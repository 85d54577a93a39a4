"""The page `will it hold`."""

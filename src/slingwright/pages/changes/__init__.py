"""The page `changes`."""

"""The page `where to stand`."""

"""The page `field day`."""

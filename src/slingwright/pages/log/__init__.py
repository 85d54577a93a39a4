"""The page `build log`, and what the pages on a log share."""

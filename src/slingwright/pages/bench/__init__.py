"""The page with the dials and the throw."""

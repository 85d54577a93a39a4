"""How a throw ends, and what would make one throw that does not."""

"""The page of winding it down."""

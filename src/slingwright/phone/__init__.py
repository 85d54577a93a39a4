"""The page for a phone on the meadow: served on request, written into the log once."""

"""How near copies of a machine differ, and what they do."""

"""Reusable notebook widgets: dials, live pictures, player, readouts, comparison."""

"""Exercises for lessons."""

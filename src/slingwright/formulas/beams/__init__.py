"""Beams and cross-sections, of any stuff."""

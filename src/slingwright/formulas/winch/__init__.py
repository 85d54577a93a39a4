"""Drum, crew, and the pull that winds the arm down."""

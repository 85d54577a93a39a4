"""Drawings and the printed report."""

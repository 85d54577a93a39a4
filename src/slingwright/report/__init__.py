"""Drawings and tables for print."""

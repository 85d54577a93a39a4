"""Ropes and the sheaves they run on."""

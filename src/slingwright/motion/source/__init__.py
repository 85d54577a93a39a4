"""Equations joined with a stepper into one module's text, kept and imported."""

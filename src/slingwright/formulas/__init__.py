"""Strength, rope, winch and release formulas: one equation, one function, one source each."""

"""Amounts as people read them: units, figures, text, results that tell themselves."""

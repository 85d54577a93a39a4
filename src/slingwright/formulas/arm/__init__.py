"""The arm as a tapered beam: its sections, loads, stress and bend."""

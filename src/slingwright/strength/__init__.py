"""Will it hold: load cases, checks, clearance and what would mend them."""

"""What a maker asks of a machine: loads, checks, rigging, safe distance, tuning, changes."""

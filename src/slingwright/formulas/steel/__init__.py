"""Steel: parts, axles, pins, bolts and fatigue."""

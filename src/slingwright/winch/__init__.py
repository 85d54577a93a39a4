"""How it is wound down: the cycle, the rope, the crew, the hook, and what a load cell read."""

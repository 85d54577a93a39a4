"""Tables of timber, steel, ropes and fittings: reading them, and looking up a row."""

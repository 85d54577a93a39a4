"""The build log: an append-only SQLite record of a machine, its shots and its changes."""

"""What a load cell read: its file, its peaks, and the pull that was foretold."""

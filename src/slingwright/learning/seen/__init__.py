"""What was seen of a shot: by eye, and in a high-speed video."""

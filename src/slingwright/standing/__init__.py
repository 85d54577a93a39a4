"""Where to stand: how far a load can fly, and the ground to keep clear."""

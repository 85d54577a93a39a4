"""Where to stand: how far a projectile can fly, and the ground to keep clear."""

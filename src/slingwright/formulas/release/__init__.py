"""What lets go: the hook that looses the arm and the prong that looses the sling."""

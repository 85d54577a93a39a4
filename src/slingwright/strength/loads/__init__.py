"""What loads the parts: the cases of a brief, and the arm that bends in them."""

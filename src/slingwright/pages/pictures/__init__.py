"""Live pictures of a throw, drawn by the browser."""

"""What is to be cut, bought and drawn: pieces, stock and sheets."""

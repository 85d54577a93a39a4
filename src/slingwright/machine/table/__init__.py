"""The one table of what is set: its rows, what follows from them, what must hold between them."""

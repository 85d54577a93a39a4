"""What is set: the table of dials, what follows from it, the machine and its file."""

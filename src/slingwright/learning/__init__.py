"""What the shots tell: fits, beliefs, tracks."""

"""What the shots show: fits, beliefs, tracks."""

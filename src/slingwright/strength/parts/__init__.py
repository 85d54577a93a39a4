"""The checks of each part, beside the part."""

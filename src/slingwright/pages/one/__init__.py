"""The one page that holds all parts as tabs over one live bench."""

"""The log for readers: an entry in words, the diary, and what is written out."""

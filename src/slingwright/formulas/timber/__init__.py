"""Timber: strength, buckling, bolted joints."""

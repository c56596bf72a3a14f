"""Hearing: recordings and timed texts in, words with their times out. Knows no trade words."""

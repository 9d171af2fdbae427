"""Drives beside each other: what became of what stood out, and what is new."""

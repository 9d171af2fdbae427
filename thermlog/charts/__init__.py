"""Findings as pictures."""

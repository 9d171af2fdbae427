"""Findings as text, JSON and CSV."""

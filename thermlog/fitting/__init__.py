"""Cooling curves of all corners at once."""

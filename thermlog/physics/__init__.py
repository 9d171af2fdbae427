"""Formulas on numbers and arrays."""

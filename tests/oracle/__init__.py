"""Formulas of books that only tests use: references for the code that the program runs."""

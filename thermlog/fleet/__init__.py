"""Many logs: shared among processes, judged in pieces, kept as rows, and what a batch teaches."""

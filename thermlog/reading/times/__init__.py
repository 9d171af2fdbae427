"""Time cells of a log to seconds: one cell, a column, the pace of the walk."""

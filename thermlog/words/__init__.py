"""The words every step speaks: errors, units, vehicles, tables, findings, policies."""

"""Findings as pages: one file each, complete in itself, that asks nothing of any network."""

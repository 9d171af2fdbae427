"""Wheel positions: words of a log to axle, side and spot."""

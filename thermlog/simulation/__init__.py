"""Vehicles, drives, walks and guns of our own making."""

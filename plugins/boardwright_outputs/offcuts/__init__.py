"""Offcuts worth keeping, as stock for the next project."""

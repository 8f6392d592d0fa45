"""Sizing: the lightest strip of a list that holds a board."""

"""Viewing: what one sees of a board's wood from the front, from an end and from above."""

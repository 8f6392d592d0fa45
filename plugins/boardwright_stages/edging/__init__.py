"""Strips along the edges of boards: where they go, what they are cut of, what holds them."""

"""Figures: what a whole layout comes to."""

"""Strength: what a board carries, what stands under it, how far it sags."""

"""Joists: where they go and how long they are. Read ``stages``, ``region``, ``places``, ``choose``."""

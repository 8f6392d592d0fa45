"""Wiring: the holes that wires pass through. Read ``settings``, ``holes``, ``bays``, ``stages``."""

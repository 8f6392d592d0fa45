"""Costing: what the materials of a layout cost."""

"""Drawings: nouns → a neutral Drawing (``views``) → DXF for the workshop and SVG for the page."""

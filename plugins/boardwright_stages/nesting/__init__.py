"""Nesting: blanks of parts on sheets, freed by straight saw cuts from edge to edge."""

"""How boards and rails move between the seasons."""

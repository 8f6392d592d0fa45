"""pack.json: everything a pack says, as data."""

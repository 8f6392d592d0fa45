"""One purchase and one cutting plan for several projects, from their finished packs."""

"""Hardware: what is bought by number or measure, counted from the wood it goes into."""

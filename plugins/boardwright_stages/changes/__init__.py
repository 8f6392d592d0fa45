"""What differs between two packs, for a builder with half the wood cut."""

"""The height that boards take, and the room between levels."""

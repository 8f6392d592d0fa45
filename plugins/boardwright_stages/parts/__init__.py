"""Parts: every member and the deck, flat, with holes and marks. Read ``screws``, ``members``, ``deck``, ``stages``."""

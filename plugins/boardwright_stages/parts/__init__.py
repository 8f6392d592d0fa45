"""Parts: every member and the deck, flat, with holes and marks.

Read ``butts``, ``screws``, ``members``, ``deck``, ``stages``.
"""

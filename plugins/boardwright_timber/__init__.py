"""The vocabulary of board building: nouns only, no rules, no files, no drawing.

Glossary (the second word is the North American one)
    board      one separately built unit of baseboard/benchwork; has its own local axes
    joint      the straight line where two boards meet and are bolted together
    frame      the members under a deck: sides, ends and joists (cross-members)
    member     one piece of a frame, placed; tops of members lie at z = 0, the deck sits on them
    deck       the panel on top of a frame
    part       what is sawn: a flat profile with holes, marks and end bevels, and where it goes
    stock      what the merchant sells: sheets here
    cut sheet  a sheet with parts placed on it and the cuts that free them

All lengths in millimetres. Local axes of a board: x along its longer direction, y across, z up from the
underside of the deck. Every noun is frozen, so a stage can only answer with new ones.
"""

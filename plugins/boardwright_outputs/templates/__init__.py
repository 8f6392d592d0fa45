"""Full-size paper templates: lay them on the wood, prick through, cut to the line.

Claim: on every page a millimetre of the drawing is a millimetre of paper, and bars both ways let the user
prove it. Pages of one template overlap and carry the same crosses where they do.

Reading order: ``paper`` (sizes), ``tiling`` (which pages), ``view`` (what is drawn), ``pages`` (PDF).
"""

"""Splitting: from the track plan to boards and the joints between them.

Reading order: ``settings`` → ``piece`` (a piece and how it is cut) → ``chords`` (where lines cross it) →
``lines`` (which lines are tried) → ``keepaway`` and ``tracks`` (what a joint must respect) → ``worth`` (what
a cut is worth) → ``row`` (the best boards in a row, proven) → ``exact`` (all ways, proven) → ``search``
(choosing the cuts) → ``drawn`` (the builder's own joints) → ``pose`` (however the plan lies) → ``healing``,
``seams``, ``naming``, ``axes``, ``whole`` (making the nouns) → ``share`` → ``explain``, ``freeing``,
``reasons`` → ``stages``.
"""

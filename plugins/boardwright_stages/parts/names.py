"""Names of members: each its own, after its board's, for drawings, labels and holes are found by them.

What this does not know: names of parts that others make of members.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from boardwright import Notes, Place
from boardwright_timber.model import Member

MEND = (
    "Mend the plugin that frames the board: each member has a name of its own, the board's first, as {}-S1."
)


def say_what_is_misnamed(board: str, members: Sequence[Member], notes: Notes) -> None:
    """Our own styles and joists name theirs so; a club's may slip."""
    for name, number in Counter(m.id for m in members).items():
        where, mend = Place(board=board, item=name), MEND.format(board)
        if number > 1:
            says = f"{number} members of board {board} are called {name}: holes go to the wrong one."
            notes.fault("BW-PART-008", says, where, mend)
        elif not name.startswith(f"{board}-"):
            says = f"A member of board {board} is called {name}: another board may have one of that name."
            notes.fault("BW-PART-008", says, where, mend)

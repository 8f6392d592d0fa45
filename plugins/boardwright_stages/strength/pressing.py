"""How hard a post presses the wood that it stands on.

Claim: what a post carries over the part of it that stands over the member below, across the grain; the deck
between them is not weaker. F_c,90 over k_mod·f_c,90,k/γM, k_c,90 = 1, nothing gained by wood beside the post.

Source: EN 1995-1-1 6.1.5 (memory); f_c,90,k = 2.5 N/mm² of C24 (EN 338, read), taken for every wood (plywood
on edge bears more).

What this does not know: posts that buckle or lean (short and thick: far below their strength), screws at
their feet.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from boardwright_timber.model import Borne, Post
from boardwright_timber.reference.strengths import C90_N_MM2, Duration

from .settings import StrengthSettings
from .sums import LASTING, PASSING, usable

PRESS_RULE = f"1.35 G + 1.5 Q, or 1.35 G alone, on the wood below the post, over k_mod·{C90_N_MM2:g}/γM"
PRESS_SOURCE = "EN 1995-1-1 6.1.5 (memory); f_c,90,k of C24, EN 338 (read)"


def pressed(
    bears: Sequence[Borne], material: Mapping[str, str], settings: StrengthSettings
) -> tuple[float, Post] | None:
    """The worst use of what the wood bears, and the post that makes it; None: no post stands here.

    ``material``: of each member.
    """
    found = []
    for each in bears:
        for k, post in enumerate(each.posts):
            lasting = max(each.lasting_n[k], 0.0)
            hand = max((case[k] for case in each.hands_n), default=0.0)
            cases: tuple[tuple[float, Duration], ...] = (
                (LASTING * lasting + PASSING * max(hand, 0.0), "short"),
                (LASTING * lasting, "permanent"),
            )
            strong = C90_N_MM2 * post.bears_mm2
            found.append(
                (
                    max(f / (usable(material[post.on_member], settings, d) * strong) for f, d in cases),
                    each.board,
                    k,
                )
            )
    if not found:
        return None
    use, board, k = max(found, key=lambda f: (round(f[0], 9), f[1], -f[2]))
    return use, next(e for e in bears if e.board == board).posts[k]

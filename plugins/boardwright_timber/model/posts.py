"""Posts of an upper board that stand on the frame of the board below, and what they lay on it."""

from __future__ import annotations

import msgspec


class Post(msgspec.Struct, frozen=True, kw_only=True):
    """One square post.

    ``member``, ``x_mm``, ``y_mm``: what it carries and where, in the upper board's own axes; ``on``,
    ``on_member``, ``on_x_mm``, ``on_y_mm``: the board below, its member under the post's middle, and where in
    that board's own axes. ``stands_mm``: height of its foot above the drawing's level 0. ``bears_mm2``: how
    much of it stands over that member.
    """

    id: str
    member: str
    x_mm: float
    y_mm: float
    on: str
    on_member: str
    on_x_mm: float
    on_y_mm: float
    stands_mm: float
    bears_mm2: float


class Borne(msgspec.Struct, frozen=True, kw_only=True):
    """What one upper board lays on a lower one: N on each of ``posts``, lasting, and under a hand on each
    place of what stands above, place by place."""

    board: str
    posts: tuple[Post, ...]
    lasting_n: tuple[float, ...]
    hands_n: tuple[tuple[float, ...], ...]


class Posts(msgspec.Struct, frozen=True, kw_only=True):
    """All posts by the board they carry, and what each lower board bears."""

    under: dict[str, tuple[Post, ...]] = {}
    borne: dict[str, tuple[Borne, ...]] = {}


class BoardPosts(msgspec.Struct, frozen=True, kw_only=True):
    """The posts under one board (``under``) and what stands on it (``bears``). Without ``placed`` nobody has
    looked for places yet: figures are then those of legs by the rule."""

    placed: bool = False
    under: tuple[Post, ...] = ()
    bears: tuple[Borne, ...] = ()

"""A board taken apart: each piece of wood drawn away from the middle of the frame, so that one sees its ends,
its faces and what lies behind it.

Claim: pieces that did not go through each other do not do so apart. Two members are parted by an upright or
a level plane; each moves by the same share of the way from the frame's middle to its own, so they move apart
along whatever parts them; the lengths of one strip do so too. The skins and blocks of a sandwich then move on
outward, one behind the other. Bent strips go above the frame, decks above all.

What this does not know: holes, bevels of saw cuts (the skins of a sandwich are drawn square at a mitre).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from boardwright.plan.model import Point, Ring
from boardwright_timber.model import Frame, Joists, Member, Part

from .slabs import ON_TOP, Prism
from .solids import in_place, prisms

ALONG = 0.25  # of the way from the frame's middle, in plan
UPWARD = 1.0  # and in height: a girder's flange comes off its web
LAYER_MM = 16.0  # between the layers of a sandwich
BETWEEN_MM = 40.0  # between the frame, what is bent round it, splice plates and decks


class Named(NamedTuple):
    part: str
    prism: Prism


def apart(frame: Frame, joists: Joists, parts: Sequence[Part]) -> list[Named]:
    """Every piece of wood of a board in its place apart."""
    members: list[Member] = [m for m, _ in in_place(frame, joists)]
    if not members:
        return []
    on_top = [p for p in parts if p.role in ON_TOP]
    names = [*(m.id for m in members), *(b.id for b in frame.bent), *(p.id for p in on_top)]
    whole = dict(zip(names, prisms(frame, joists, parts), strict=True))
    standing = [whole[m.id] for m in members]
    middle = _middle_of(standing)
    layers = {m.id: [p for p in parts if m.sandwich and m.id in (p.id, p.of)] for m in members}
    found = []
    for member in members:
        away = _away(whole[member.id], middle)
        if layers[member.id]:
            found += [Named(p.id, prism.moved(*away)) for p, prism in _layers(member, layers[member.id])]
        else:
            found.append(Named(member.id, whole[member.id].moved(*away)))
    top = max(n.prism.high for n in found)
    for bent in frame.bent:
        up = top + BETWEEN_MM + bent.depth_mm
        found.append(Named(bent.id, whole[bent.id].moved(0.0, 0.0, up)))
    lift = clear_lift_mm(standing) + (BETWEEN_MM + max(b.depth_mm for b in frame.bent) if frame.bent else 0.0)
    for part in on_top:
        up = lift + (BETWEEN_MM if part.role == ON_TOP[0] else 0.0)
        found.append(Named(part.id, whole[part.id].moved(0.0, 0.0, up)))
    return found


def clear_lift_mm(standing: Sequence[Prism]) -> float:
    """How far up a deck must go to hide nothing of the frame apart, seen from the corner at equal angles to
    all axes: there a height shows as twice what the same length in plan takes up the paper."""
    xs, ys = ([p[n] for body in standing for p in body.ring] for n in (0, 1))
    around = max(xs) - min(xs) + max(ys) - min(ys)
    return round(around * (1 + ALONG / 2) / 2, -1)


def _middle_of(bodies: Sequence[Prism]) -> tuple[float, float, float]:
    xs, ys = ([p[n] for body in bodies for p in body.ring] for n in (0, 1))
    low, high = min(b.low for b in bodies), max(b.high for b in bodies)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, (low + high) / 2


def _away(body: Prism, middle: tuple[float, float, float]) -> tuple[float, float, float]:
    x = math.fsum(p[0] for p in body.ring) / len(body.ring)
    y = math.fsum(p[1] for p in body.ring) / len(body.ring)
    z = (body.low + body.high) / 2
    return ALONG * (x - middle[0]), ALONG * (y - middle[1]), UPWARD * (z - middle[2])


def _layers(member: Member, layers: Sequence[Part]) -> list[tuple[Part, Prism]]:
    """The skins and blocks of a member, the outer ones moved outward: its wood is on the left of its face."""
    dx, dy = member.direction
    found = []
    for part in layers:
        place = part.placement
        c, s = math.cos(math.radians(place.angle_deg)), math.sin(math.radians(place.angle_deg))
        depth = (place.x_mm - member.outer_start[0]) * -dy + (place.y_mm - member.outer_start[1]) * dx
        nth = (
            2
            if part.role == member.role
            else 1
            if depth + part.thickness_mm < member.thickness_mm - 1.0
            else 0
        )

        def at(u: float, v: float, part: Part = part, c: float = c, s: float = s) -> Point:
            return part.placement.x_mm + u * c - v * s, part.placement.y_mm + u * s + v * c

        t = part.thickness_mm
        ring: Ring = (at(0.0, 0.0), at(part.length_mm, 0.0), at(part.length_mm, t), at(0.0, t))
        body = Prism(False, ring, (), place.z_mm, place.z_mm + part.width_mm)
        found.append((part, body.moved(nth * LAYER_MM * dy, -nth * LAYER_MM * dx, 0.0)))
    return found

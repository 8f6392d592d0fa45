"""Members as far as noggins and risers ask: where they are and how thick, not how deep nor what of.

Claim: sizes that differ in depth and material alone have their noggins and risers in the same places, so
those are looked for once; each then gets the wood it is made of.

Glossary
    bare     a member without its depth, its id in place of its material
    clothed  the same with the wood of the member that has this id
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from msgspec.structs import replace

from boardwright_timber.model import Member

LIKE = "like"  # in place of the material of noggins


def bare(member: Member, name: str = "") -> Member:
    """``name``: in place of its id."""
    name = name or member.id
    hollow = member.sandwich and replace(member.sandwich, block_material=name)
    return replace(member, id=name, depth_mm=0.0, material=name, sandwich=hollow)


def bare_all(members: Iterable[Member]) -> tuple[Member, ...]:
    return tuple(map(bare, members))


def material_by(like: Member, members: Iterable[Member]) -> dict[str, str]:
    """What a riser is made of on each of the members, and on noggins."""
    return {m.id: m.sandwich.block_material if m.sandwich else m.material for m in members} | {
        LIKE: like.material
    }


def clothed(risers: Iterable[Member], materials: Mapping[str, str]) -> tuple[Member, ...]:
    return tuple(replace(r, material=materials[r.material]) for r in risers)

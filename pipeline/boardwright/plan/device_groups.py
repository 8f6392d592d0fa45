"""Devices drawn inside another block: a group of motors, a turnout with its motor in it.

A block that tells its own kind (by its attribute KIND or by its name) is one device, whatever is in it. One
that tells none, but holds blocks that do, is a *group*: each of these is a device, placed and turned
as the group is. A turnout's block keeps being the turnout; blocks in it that lie on a device layer and tell
their kind are devices as well.

A name (NAME or ID) given inside a group is that device's, after the group's own name if that has one:
``NORTH-PM1``. Where a group stands more than once, names inside it would come twice: then its devices are
numbered.

What this does not know: groups of turnouts; a block on a turnout layer is one turnout.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import msgspec

from ..findings import Notes
from .drawn import Block, Drawn
from .kinds import Catalogue
from .layers import Roles
from .names import given_name


def opened(
    drawn: Drawn, blocks: Sequence[Block], roles: Roles, catalogue: Catalogue, notes: Notes
) -> list[Block]:
    """The blocks of the device layers, groups opened, and the devices inside blocks of other layers."""
    made: list[tuple[Block, bool]] = []
    for block in blocks:
        on_devices = roles.of(block.layer) == "devices"
        if on_devices and (tells_kind(block, catalogue) or not block.inside):
            made.append((block, False))
            continue
        found = list(_inside(block, catalogue))
        held = [b for b in found if on_devices or roles.of(b.layer) == "devices"]
        if on_devices and not held:
            made.append((block, False))
            continue
        made += [(_named(b, block), True) for b in held]
        if held:
            _tell(drawn, block, held, _silent(block, catalogue) if on_devices else 0, notes)
    often = Counter(given_name(b) for b, _ in made)
    return [_nameless(b) if grouped and often[given_name(b)] > 1 else b for b, grouped in made]


def tells_kind(block: Block, catalogue: Catalogue) -> bool:
    return bool(block.attributes.get("KIND", "").strip() or catalogue.in_name(block.name))


def _inside(block: Block, catalogue: Catalogue) -> Iterator[Block]:
    """Blocks in a block, however deep, that tell their kind."""
    for inner in block.inside:
        if tells_kind(inner, catalogue):
            yield inner
        else:
            yield from _inside(inner, catalogue)


def _silent(block: Block, catalogue: Catalogue) -> int:
    """How many blocks in a block tell no kind and hold none that does."""
    return sum(
        _silent(inner, catalogue) or not any(_inside(inner, catalogue))
        for inner in block.inside
        if not tells_kind(inner, catalogue)
    )


def _named(inner: Block, group: Block) -> Block:
    own, around = given_name(inner), given_name(group)
    if not own or not around:
        return inner
    return msgspec.structs.replace(inner, attributes={**inner.attributes, "NAME": f"{around}-{own}"})


def _nameless(block: Block) -> Block:
    kept = {tag: text for tag, text in block.attributes.items() if tag not in ("NAME", "ID")}
    return msgspec.structs.replace(block, attributes=kept)


def _tell(drawn: Drawn, group: Block, held: Sequence[Block], silent: int, notes: Notes) -> None:
    count = f"{len(held)} device{'s' if len(held) > 1 else ''}"
    rest = f"; {silent} more in it tell no kind and are left out" if silent else ""
    notes.note(
        "BW-READ-066",
        f"block {group.name!r} holds {count} drawn as blocks of their own, and each is read{rest}",
        drawn.place(group),
        "If it is one device, give its block an attribute KIND, or a name that tells the kind.",
    )

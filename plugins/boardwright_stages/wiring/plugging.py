"""Plugs at the joints: every core that crosses gets a pin, or several when it carries more than a pin may.

Pins are given in the order the runs were laid, so that both sides of a joint read the same list. A core keeps
its pins in one plug; ``plug_spare`` pins stay free at every joint.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from boardwright_timber.model import Board, JointPlug, Pin, WireRun

from .legs import Piece
from .network_settings import WireSettings


def plugs_of(
    laid: Iterable[tuple[WireRun, Sequence[Piece]]], boards: Mapping[str, Board], settings: WireSettings
) -> tuple[JointPlug, ...]:
    """Plugs of every joint that wires cross, in order of joint."""
    pair = {j.id: j.boards for b in boards.values() for j in b.joints}
    wanted: dict[str, list[tuple[Pin, int]]] = {}
    for run, pieces in laid:
        for piece in pieces:
            if piece.joint:
                each = max(1, math.ceil(piece.amps / settings.plug_amps - 1e-9))
                for core, colour in enumerate(run.colours, 1):
                    pin = Pin(number=0, run=run.id, core=core, colour=colour)
                    wanted.setdefault(piece.joint, []).append((pin, each))
    made: list[JointPlug] = []
    for joint in sorted(wanted):
        plugs: list[list[Pin]] = [[]]
        for n, (pin, each) in enumerate(wanted[joint]):
            last = n == len(wanted[joint]) - 1
            room = settings.plug_ways - (settings.plug_spare if last else 0)
            if plugs[-1] and len(plugs[-1]) + each > room:
                plugs.append([])
            plugs[-1] += [pin] * each
        for n, pins in enumerate(plugs, 1):
            numbered = tuple(
                Pin(number=k, run=p.run, core=p.core, colour=p.colour) for k, p in enumerate(pins, 1)
            )
            ways = max(settings.plug_ways, len(pins))
            made.append(
                JointPlug(id=f"{joint}-{n}", joint=joint, boards=pair[joint], ways=ways, pins=numbered)
            )
    return tuple(made)

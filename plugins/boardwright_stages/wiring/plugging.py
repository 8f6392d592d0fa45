"""Plugs at the joints: every core that crosses gets a pin, or several when it carries more than a pin may.

Pins are given in the order the runs were laid, so that both sides of a joint read the same list. A run keeps
its pins in one plug if a plug has so many; ``plug_spare`` pins stay free at every joint.
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
    wanted: dict[str, list[list[Pin]]] = {}
    for run, pieces in laid:
        for piece in pieces:
            if piece.joint:
                each = max(1, math.ceil(piece.amps / settings.plug_amps - 1e-9))
                pins = [
                    Pin(number=0, run=run.id, core=core, colour=colour)
                    for core, colour in enumerate(run.colours, 1)
                    for _ in range(each)
                ]
                wanted.setdefault(piece.joint, []).append(pins)
    made: list[JointPlug] = []
    for joint in sorted(wanted):
        plugs = _filled(wanted[joint], settings.plug_ways)
        if settings.plug_ways * len(plugs) - sum(map(len, plugs)) < settings.plug_spare:
            plugs.append([])
        for n, pins in enumerate(plugs, 1):
            numbered = tuple(
                Pin(number=k, run=p.run, core=p.core, colour=p.colour) for k, p in enumerate(pins, 1)
            )
            made.append(
                JointPlug(
                    id=f"{joint}-{n}",
                    joint=joint,
                    boards=pair[joint],
                    ways=settings.plug_ways,
                    pins=numbered,
                )
            )
    return tuple(made)


def _filled(runs: Iterable[list[Pin]], ways: int) -> list[list[Pin]]:
    """Plugs filled run by run: the first with room for a whole run takes it."""
    plugs: list[list[Pin]] = [[]]
    for pins in runs:
        left = pins
        while left:
            fits = next((p for p in plugs if len(p) + len(left) <= ways), None)
            if fits is not None:
                fits += left
                break
            if plugs[-1]:
                plugs.append([])
            plugs[-1] += left[:ways]
            left = left[ways:]
    return plugs

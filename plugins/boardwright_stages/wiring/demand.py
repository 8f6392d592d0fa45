"""What wires will cross each joint, before a hole is drilled: the holes are made to this measure.

Claim: the same nets as the wire schedule's, laid on the same rules, but on boards without wood: every two
things of a board see each other, and every joint is crossed at its middle. Conductors are chosen by drop and
current as there. So the bundle at a joint is what the schedule will lead through it, unless holes, wells or
full bundles send a wire another way; the schedule checks the fill of every hole once more. Within a board the
same ways tell what each joist must let through.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

from boardwright import All, stage
from boardwright.plan.model import Device, Point
from boardwright_timber.model import Board, BoardDemand, BoardPlan, JointDemand, Stretch, WireHole

from ..joints.module_ends import AS_CHOSEN, ModuleEndSettings
from .conductors import at_hand
from .laying import Bundles, lay_net
from .module_ends import end_devices, led_to_ends, terminal
from .nets import islands, nets_of
from .network_settings import WireSettings
from .underside import Hole, Underside
from .ways import edge

OPEN_MM = 1e4  # a hole that never fills


@stage()
def wire_demand(
    boards: All[Board],
    plans: All[BoardPlan],
    settings: WireSettings,
    profiles: ModuleEndSettings = AS_CHOSEN,
) -> All[BoardDemand]:
    """Cores and their cross-sections at every joint that wires will cross and along each board. For the
    whole layout at once: a board's holes are made anew only when its own demand changes."""
    ends = end_devices(boards, profiles.connectors)
    graph = without_wood(boards, plans, ends)
    devices = {d.id: d for p in plans.values() for d in p.devices if d.id in p.own_devices}
    board_of = {d: b for b, p in plans.items() for d in p.own_devices}
    bundles = Bundles(graph, 0.0)
    sizes = at_hand(settings)
    along: dict[str, list[Stretch]] = {b: [] for b in boards}
    devices |= ends
    board_of |= {terminal(e): b for b, board in boards.items() for e in board.ends}
    for island in islands(graph, devices.values(), settings):
        for net in led_to_ends(nets_of(graph, island, board_of, settings), island, profiles.connectors):
            if net.devices:
                laid = lay_net(graph, bundles, net, "", "", sizes, settings)
                for a, b in laid.tree:
                    if graph.boards[a] == graph.boards[b]:
                        board = boards[graph.boards[a]]
                        x, y = sorted(board.to_local(graph.points[n])[0] for n in (a, b))
                        along[board.id].append(
                            Stretch(
                                from_mm=round(x, 1),
                                to_mm=round(y, 1),
                                cores=net.cores,
                                squares_mm2=round(net.cores * laid.wire.outer_mm**2, 6),
                            )
                        )
    made = [
        JointDemand(
            joint=holes[0].hole.joint or "",
            cores=bundles.cores[at],
            squares_mm2=round(bundles.squares[at], 6),
        )
        for at, holes in graph.holes.items()
        if bundles.cores[at]
    ]
    joints = tuple(sorted(made, key=lambda d: d.joint))
    return {
        b: BoardDemand(
            board=b,
            joints=tuple(d for d in joints if d.joint in {j.id for j in boards[b].joints}),
            stretches=tuple(found),
        )
        for b, found in along.items()
    }


def without_wood(
    boards: All[Board], plans: All[BoardPlan], ends: Mapping[str, Device] = MappingProxyType({})
) -> Underside:
    """Devices, ends and joints' middles of every board, each joined to each, and joints joined across."""
    made = Underside()
    doors: dict[str, list[tuple[str, int]]] = {}
    for id_, board in boards.items():
        inside = []
        for joint in board.joints:
            node = made.add(id_, _middle(joint.start, joint.end))
            doors.setdefault(joint.id, []).append((id_, node))
            inside.append(node)
        for device in plans[id_].devices:
            if device.id in plans[id_].own_devices:
                made.terminals[device.id] = made.add(id_, (device.x_mm, device.y_mm))
                inside.append(made.terminals[device.id])
        for end in (terminal(e) for e in board.ends):
            if end in ends:
                made.terminals[end] = made.add(id_, (ends[end].x_mm, ends[end].y_mm))
                inside.append(made.terminals[end])
        for n, a in enumerate(inside):
            for b in inside[n + 1 :]:
                made.join(a, b, math.dist(made.points[a], made.points[b]))
    for joint_id, met in doors.items():
        if len(met) == 2:
            (one, a), (_, b) = met
            made.join(a, b, 0.0)
            x, y = made.points[a]
            hole = WireHole(
                member="", along_mm=0.0, z_mm=0.0, x_mm=x, y_mm=y, diameter_mm=OPEN_MM, joint=joint_id
            )
            made.holes[edge(a, b)] = (Hole(one, hole),)
    return made


def _middle(a: Point, b: Point) -> Point:
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)

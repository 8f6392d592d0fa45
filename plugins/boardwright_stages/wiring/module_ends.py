"""Wires that lead on into the next module: buses brought to its ends, and what is plugged there.

Claim: every connector of the profile is at every end of the module; each of its pins names the core that
leads to it, or none. A bus of the module is laid to all its ends, so that it passes through; a bundle that
only passes through is a run of its own from end to end. Where nothing of the module feeds a bus, it comes in
at an end.

Glossary
    end "E01"    a terminal of the wires like a device, outside the module's own end

What this does not know: the lead's length beyond the end (a tail is left), and which module comes next.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec.structs import replace

from boardwright.plan.model import Device, Point
from boardwright_timber.model import Board, Joint, JointPlug, Pin, WireKind, WireRun

from ..joints.facing import hand_of
from ..joints.module_ends import Connector
from .nets import MAIN, MODULE_END, Island, Net

NOTHING = Pin(number=0, run="", core=0, colour="")


def terminal(end: Joint) -> str:
    """What an end is called among devices."""
    return f"end {end.id}"


def middle(end: Joint) -> Point:
    return ((end.start[0] + end.end[0]) / 2, (end.start[1] + end.end[1]) / 2)


def end_devices(boards: Mapping[str, Board], connectors: Sequence[Connector]) -> dict[str, Device]:
    """Every end as a terminal, when something is plugged there; by its name."""
    if not connectors:
        return {}
    return {
        terminal(end): Device(
            id=terminal(end),
            kind=MODULE_END,
            x_mm=middle(end)[0],
            y_mm=middle(end)[1],
            length_mm=0.0,
            width_mm=0.0,
            depth_mm=0.0,
            clearance_mm=0.0,
        )
        for board in boards.values()
        for end in board.ends
    }


def led_to_ends(nets: Sequence[Net], island: Island, connectors: Sequence[Connector]) -> list[Net]:
    """The nets of an island with those that come out at the module's ends led there."""
    ends = [d for d in island.devices if d.kind == MODULE_END]
    found = list(nets)
    for connector in connectors if ends else ():
        flowing = [replace(e, current_ma=1000 * connector.current_a) for e in ends]
        kind, district = _meant(connector)
        at = next((n for n, net in enumerate(found) if (net.kind, net.district) == (kind, district)), None)
        if at is None:
            source, *others = flowing
            found.append(
                Net(
                    kind=kind,
                    district=district,
                    source=source.id,
                    devices=tuple(others),
                    cores=len(connector.pins),
                    most_a=connector.current_a,
                )
            )
        else:
            net = found[at]
            there = {d.id for d in net.devices} | {net.source}
            more = tuple(e for e in flowing if e.id not in there)
            found[at] = replace(net, devices=(*net.devices, *more))
    return [n for n in found if n.devices]


def _meant(connector: Connector) -> tuple[WireKind, str]:
    if connector.run == "through":
        return WireKind.CONTROL, connector.name
    kind = WireKind(connector.run)
    return kind, (connector.district or MAIN) if kind is WireKind.POWER else ""


def end_plugs(
    boards: Mapping[str, Board], runs: Iterable[WireRun], connectors: Sequence[Connector]
) -> Iterator[JointPlug]:
    """What is fitted at every end, in order of end and connector."""
    laid = list(runs)
    for board in boards.values():
        for end in board.ends:
            for connector in connectors:
                kind, district = _meant(connector)
                run = next(
                    (
                        r
                        for r in laid
                        if (r.kind, r.district) == (kind, district)
                        and terminal(end) in (r.source, *r.devices)
                    ),
                    None,
                )
                for half in connector.halves_at(hand_of(end)):
                    yield JointPlug(
                        id=f"{end.id}-{connector.name} {half}",
                        joint=end.id,
                        boards=(board.id, board.id),
                        ways=len(connector.pins),
                        pins=tuple(_pins(connector, run)),
                        half=half,
                        name=connector.name,
                    )


def _pins(connector: Connector, run: WireRun | None) -> Iterator[Pin]:
    for n, carries in enumerate(connector.pins, 1):
        if run is None or n > run.cores:
            yield replace(NOTHING, number=n, carries=carries)
        else:
            yield Pin(number=n, run=run.id, core=n, colour=run.colours[n - 1], carries=carries)

"""Which buses and runs a layout wants: from its devices' kinds, conductors and current.

Claim: every device that has conductors is on a bus, has a control run, or both, or is named in a finding.

Glossary
    net       devices to be joined to one source: a bus when it may branch, else a single run
    source    the device a net starts at
    island    boards that wires can pass between; each island needs a source of its own

What this does not know: how devices are wired inside, commons and returns shared between runs, and mains:
a power supply's mains side is for a licensed person and is never routed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import msgspec

from boardwright.plan.model import Device
from boardwright_timber.model import WireKind

from .network_settings import District, WireSettings
from .underside import Underside
from .ways import spread

MAIN = "main"
MODULE_END = "module_end"  # where wires lead on into the next module
SOURCE_KINDS = ("power_supply", "panel", "electronics", "plug", MODULE_END)
CONTROLLER_KINDS = ("panel", "electronics")


class Net(msgspec.Struct, frozen=True, kw_only=True):
    """``most_a`` caps what flows in it, whatever its devices draw."""

    kind: WireKind
    district: str
    source: str
    devices: tuple[Device, ...]
    cores: int
    most_a: float


class Island(msgspec.Struct, frozen=True, kw_only=True):
    """Devices that wires can pass between. ``named``: its source was named, or is of a kind that feeds."""

    devices: tuple[Device, ...]
    source: str
    named: bool


def islands(graph: Underside, devices: Iterable[Device], settings: WireSettings) -> list[Island]:
    """Islands in order of their first device's name; each with its power source."""
    left = {d.id: d for d in sorted(devices, key=lambda d: d.id) if d.id in graph.terminals}
    found = []
    while left:
        first = next(iter(left))
        reached, _ = spread(graph.near, (graph.terminals[first],))
        mine = tuple(d for d in left.values() if graph.terminals[d.id] in reached)
        for device in mine:
            del left[device.id]
        found.append(_island(graph, mine, settings))
    return found


def _island(graph: Underside, devices: tuple[Device, ...], settings: WireSettings) -> Island:
    ids = [d.id for d in devices]
    if settings.power_source in ids:
        return Island(devices=devices, source=settings.power_source, named=True)
    for kind in SOURCE_KINDS:
        match = next((d.id for d in devices if d.kind == kind), None)
        if match is not None:
            return Island(devices=devices, source=match, named=True)
    return Island(devices=devices, source=_middle(graph, devices), named=False)


def _middle(graph: Underside, devices: tuple[Device, ...]) -> str:
    """The device nearest to the middle of all: where a lead from outside comes in."""
    at = [graph.points[graph.terminals[d.id]] for d in devices]
    x, y = sum(p[0] for p in at) / len(at), sum(p[1] for p in at) / len(at)
    return min((round((p[0] - x) ** 2 + (p[1] - y) ** 2, 3), d.id) for p, d in zip(at, devices, strict=True))[
        1
    ]


def nets_of(
    graph: Underside, island: Island, board_of: Mapping[str, str], settings: WireSettings
) -> list[Net]:
    """Buses first (power by district, accessory, lighting), then control runs by device name."""
    made = []
    by_district: dict[str, list[Device]] = {}
    for device in island.devices:
        if device.kind in settings.power_kinds:
            by_district.setdefault(district_of(device, board_of[device.id], settings), []).append(device)
    for name in sorted(by_district):
        own = settings.districts.get(name, District())
        source = own.source if own.source in {d.id for d in island.devices} else island.source
        most = own.current_a or settings.bus_current_a
        made.append(_bus(WireKind.POWER, name, source, by_district[name], most))
    for kind, kinds in (
        (WireKind.ACCESSORY, settings.accessory_kinds),
        (WireKind.LIGHTING, settings.lighting_kinds),
    ):
        on_it = [d for d in island.devices if d.kind in kinds]
        made.append(_bus(kind, "", island.source, on_it, settings.accessory_current_a))
    made = [n for n in made if n.devices]
    return [*made, *_control(graph, island, settings)]


def district_of(device: Device, board: str, settings: WireSettings) -> str:
    for name, district in sorted(settings.districts.items()):
        if device.id in district.devices:
            return name
    return next((n for n, d in sorted(settings.districts.items()) if board in d.boards), MAIN)


def _bus(kind: WireKind, district: str, source: str, devices: list[Device], most_a: float) -> Net:
    on_it = tuple(d for d in devices if d.id != source)
    return Net(kind=kind, district=district, source=source, devices=on_it, cores=2, most_a=most_a)


def _control(graph: Underside, island: Island, settings: WireSettings) -> Iterable[Net]:
    far: dict[str, dict[int, float]] = {}
    for device in island.devices:
        if device.kind in settings.bus_only_kinds or device.conductors < 1:
            continue
        ends = [d for d in _controllers(device, island, settings) if d != device.id]
        for end in ends:
            if end not in far:
                far[end], _ = spread(graph.near, (graph.terminals[end],))
        if ends:
            here = graph.terminals[device.id]
            end = min(ends, key=lambda e: (round(far[e][here], 3), e))
            yield Net(
                kind=WireKind.CONTROL,
                district="",
                source=end,
                devices=(device,),
                cores=device.conductors,
                most_a=device.current_ma / 1000,
            )


def _controllers(device: Device, island: Island, settings: WireSettings) -> list[str]:
    """Devices a control run may lead to; the nearest of them is taken."""
    wanted = settings.control_to.get(device.kind, "")
    ids = [d.id for d in island.devices]
    if wanted in ids:
        return [wanted]
    of_kind = [d.id for d in island.devices if d.kind == wanted and d.id != device.id]
    if of_kind:
        return of_kind
    if settings.panel in ids:
        return [settings.panel]
    for kind in CONTROLLER_KINDS:
        found = [d.id for d in island.devices if d.kind == kind]
        if found:
            return found
    return [island.source]

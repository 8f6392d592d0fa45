"""The wire schedule of a layout: buses and runs laid, sized, labelled, with plugs at the joints.

Claim: every device that can be wired is on a run whose legs lead without a gap from its source to it; every
conductor is the thinnest at hand that carries its current and keeps the drop at the far device within
``drop_percent``, or a finding says that none does.

What this does not know: mains, which is never routed; what is inside a panel; plugs bought as a set.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from boardwright import All, Notes, stage
from boardwright_timber.model import (
    Board,
    BoardPlan,
    BoardWiring,
    Frame,
    HoleLoad,
    Joists,
    WireKind,
    WireLeg,
    WireRun,
    WireSchedule,
)
from boardwright_timber.reference import Conductor, fill_limit

from ..joints.module_ends import AS_CHOSEN, ModuleEndSettings
from .complaints import say_what_is_wrong
from .conductors import at_hand, named
from .laying import Bundles, Laid, lay_net, limit_v
from .module_ends import end_devices, end_plugs, led_to_ends, terminal
from .nets import Net, islands, nets_of
from .network_settings import WireSettings
from .plugging import plugs_of
from .totalling import totals_of
from .underside import Underside, underside

SAID = (
    "Low-voltage wiring only. Mains is never routed here: mains sockets, leads and the mains side of power "
    "supplies are for local codes and a licensed person; keep them away from these wires and holes."
)
LETTERS = {
    WireKind.POWER: "PB",
    WireKind.ACCESSORY: "AB",
    WireKind.LIGHTING: "LB",
    WireKind.CONTROL: "C",
    WireKind.DROPPER: "DR",
}
COLOURS = {
    WireKind.POWER: ("red", "black"),
    WireKind.ACCESSORY: ("yellow", "blue"),
    WireKind.LIGHTING: ("white", "grey"),
    WireKind.CONTROL: ("green", "orange", "violet", "brown", "pink", "turquoise", "white", "grey"),
    WireKind.DROPPER: ("red", "black"),
}


@stage()
def wire_schedule(
    boards: All[Board],
    plans: All[BoardPlan],
    frames: All[Frame],
    joists: All[Joists],
    wiring: All[BoardWiring],
    settings: WireSettings,
    notes: Notes,
    profiles: ModuleEndSettings = AS_CHOSEN,
) -> WireSchedule:
    """Every wire of the layout; runs in the order they are laid."""
    sizes = at_hand(settings)
    ends = end_devices(boards, profiles.connectors)
    graph = underside(boards, plans, frames, joists, wiring, ends)
    devices = {d.id: d for p in plans.values() for d in p.devices if d.id in p.own_devices}
    board_of = {d: b for b, p in plans.items() for d in p.own_devices}
    every = devices | ends
    board_of |= {terminal(e): b for b, board in boards.items() for e in board.ends}
    found = islands(graph, every.values(), settings)
    bundles = Bundles(graph, settings.hole_detour_mm)
    laid: list[tuple[WireRun, Laid]] = []
    for island in found:
        for net in led_to_ends(nets_of(graph, island, board_of, settings), island, profiles.connectors):
            laid += _lay_one(graph, bundles, net, sizes, len(laid), settings)
    runs = tuple(run for run, _ in laid)
    droppers = tuple(_droppers(runs, {d: board_of[d] for d in devices}, devices, len(runs), settings))
    holes = tuple(_loads(graph, bundles))
    off = tuple(sorted(d.id for d in devices.values() if d.id not in graph.terminals))
    plugs = plugs_of([(run, one.pieces) for run, one in laid], boards, settings)
    plugs += tuple(end_plugs(boards, runs, profiles.connectors))
    say_what_is_wrong(runs, holes, found, [one for _, one in laid], off, every, settings, notes)
    return WireSchedule(
        runs=(*runs, *droppers),
        plugs=plugs,
        holes=holes,
        totals=totals_of((*runs, *droppers)),
        off=off,
        said=SAID,
    )


def _lay_one(
    graph: Underside, bundles: Bundles, net: Net, sizes: list[Conductor], so_far: int, settings: WireSettings
) -> Iterator[tuple[WireRun, Laid]]:
    if not net.devices:
        return
    name = f"W{so_far + 1:02d}"
    label, limit = _label(net, so_far + 1, settings), limit_v(settings)
    one = lay_net(graph, bundles, net, label.split()[0], name, sizes, settings)
    legs = tuple(p.leg for p in one.pieces)
    yield (
        WireRun(
            id=name,
            label=label,
            kind=net.kind,
            district=net.district,
            source=net.source,
            devices=tuple(d.id for d in net.devices),
            cores=net.cores,
            colours=_colours(net.kind, net.district, net.cores, settings),
            size=one.wire.name,
            area_mm2=one.wire.area_mm2,
            current_a=round(min(sum(d.current_ma for d in net.devices) / 1000, net.most_a), 6),
            drop_v=one.drop_v,
            limit_v=round(limit, 6),
            far=one.far,
            metres=round(sum(leg.length_mm for leg in legs) / 1000, 3),
            legs=legs,
        ),
        one,
    )


def _label(net: Net, number: int, settings: WireSettings) -> str:
    letters = settings.labels.get(net.kind.value, LETTERS[net.kind])
    return f"{letters}{number:02d}" + (f" {net.district}" if net.district else "")


def _colours(kind: WireKind, district: str, cores: int, settings: WireSettings) -> tuple[str, ...]:
    chosen = settings.colours.get(district) or settings.colours.get(kind.value) or COLOURS[kind]
    return tuple(chosen[n % len(chosen)] for n in range(cores))


def _droppers(
    runs: tuple[WireRun, ...],
    board_of: Mapping[str, str],
    devices: Mapping[str, object],
    so_far: int,
    settings: WireSettings,
) -> Iterator[WireRun]:
    """A pair from the bus to the rails at every feed of a power bus."""
    wire = named(settings.dropper, "wires.dropper")
    for bus in (r for r in runs if r.kind is WireKind.POWER):
        feeds = sorted({*bus.devices, bus.source} & {d for d in board_of if _is_feed(devices[d])})
        if not feeds:
            continue
        so_far += 1
        legs = tuple(
            WireLeg(
                board=board_of[d],
                start=d,
                end="rails",
                route_mm=settings.dropper_mm,
                length_mm=settings.dropper_mm,
                points=(),
            )
            for d in feeds
        )
        letters = settings.labels.get(WireKind.DROPPER.value, LETTERS[WireKind.DROPPER])
        yield WireRun(
            id=f"W{so_far:02d}",
            label=f"{letters}{so_far:02d} {bus.district}",
            kind=WireKind.DROPPER,
            district=bus.district,
            source=bus.id,
            devices=tuple(feeds),
            cores=2,
            colours=_colours(WireKind.DROPPER, bus.district, 2, settings),
            size=wire.name,
            area_mm2=wire.area_mm2,
            current_a=bus.current_a,
            drop_v=bus.drop_v,
            limit_v=bus.limit_v,
            far=bus.far,
            metres=round(len(feeds) * settings.dropper_mm / 1000, 3),
            legs=legs,
        )


def _is_feed(device: object) -> bool:
    return getattr(device, "kind", "") == "feed"


def _loads(graph: Underside, bundles: Bundles) -> Iterator[HoleLoad]:
    for at, holes in graph.holes.items():
        cores = bundles.cores[at]
        for one in holes:
            yield HoleLoad(
                board=one.board,
                member=one.hole.member,
                along_mm=one.hole.along_mm,
                joint=one.hole.joint,
                diameter_mm=one.hole.diameter_mm,
                cores=cores,
                fill=round(bundles.squares[at] / one.hole.diameter_mm**2, 6),
                limit=fill_limit(cores) if cores else 0.0,
                runs=tuple(bundles.runs[at]),
            )

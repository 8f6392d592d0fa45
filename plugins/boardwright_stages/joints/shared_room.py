"""The pattern of ends that mate, put where all of them have room.

Claim: every place of the pattern lies in the room that is told, bolts a spacing apart, dowels a spacing from
the bolts, wire holes with wood between them and both. Rooms of several layouts may be laid over one another
(``in_common``): a pattern put into what is left has room on the ends of all.

What this does not know: why a place is taken (``ends``).
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from boardwright_timber.model import EndPattern, EndRoom

from ..wiring.settings import WiringSettings
from .bores import bolt_bore, dowel_bore
from .pattern import Pattern, choose, handed
from .settings import Fastener, JointSettings
from .spans import Span, Spans, common, shrunk, without


def fastener_of(settings: JointSettings) -> Fastener:
    """Ends are bolted even where joints within the layout have catches."""
    return settings.fastener if settings.fastener != "toggle catch" else "cup bolt"


def shared(every: Iterable[Spans], settings: JointSettings) -> Spans:
    """What all ends have; where any must mate with any, mirrored besides."""
    whole: Span = (float("-inf"), float("inf"))
    found: Spans = (whole,)
    for spans in every:
        found = common(found, spans)
        if settings.pattern == "symmetric":
            found = common(found, tuple((-b, -a) for a, b in reversed(spans)))
    return shrunk(found, 0.0)


def alike(one: EndRoom, other: EndRoom) -> bool:
    """Whether both rooms are told for holes at the same heights and of the same size."""
    return _heights(one) == _heights(other)


def _heights(room: EndRoom) -> tuple[object, ...]:
    return room.deck_mm, room.bolts_z_mm, room.dowels_z_mm, room.wires_z_mm, room.wires_diameter_mm


def in_common(one: EndRoom, other: EndRoom) -> EndRoom:
    """The room that the ends of both have; as many bolts as the one wants that wants more."""
    return replace(
        one,
        ends=(*one.ends, *other.ends),
        bolts_wanted=max(one.bolts_wanted, other.bolts_wanted),
        bolts_mm=common(one.bolts_mm, other.bolts_mm),
        handy_mm=common(one.handy_mm, other.handy_mm),
        dowels_mm=common(one.dowels_mm, other.dowels_mm),
        wires_mm=common(one.wires_mm, other.wires_mm),
    )


def placed(room: EndRoom, settings: JointSettings, wiring: WiringSettings) -> EndPattern:
    """Bolts where a hand gets to them, else where they are clear; then dowels, then wire holes."""
    bolt, dowel = bolt_bore(settings), dowel_bore(settings)
    bolts = _chosen(room.handy_mm, room.bolts_wanted, settings, settings.bolts_at_mm)
    if len(bolts.at_mm) < room.bolts_wanted:
        bolts = _chosen(room.bolts_mm, room.bolts_wanted, settings, settings.bolts_at_mm)
    gap = settings.spacing_mm
    left = without(room.dowels_mm, ((t - gap, t + gap) for t in bolts.at_mm))
    dowels = _chosen(left, settings.dowels_per_joint, settings, settings.dowels_at_mm)
    if settings.pattern == "handed" and not settings.dowels_at_mm:
        dowels = handed(dowels, left, 0.0, gap)
    d, k = room.wires_diameter_mm, wiring.fixing_gap_diameters
    taken = [(t, k * (d + bolt.diameter_mm)) for t in bolts.at_mm]
    taken += [(t, k * (d + dowel.diameter_mm)) for t in dowels.at_mm]
    free = without(room.wires_mm, ((t - g, t + g) for t, g in taken))
    wires = choose(free, 0.0, wiring.holes_per_joint, 3 * d, "innermost") if d else Pattern(())
    return EndPattern(
        ends=room.ends,
        fastener=fastener_of(settings),
        bolts_mm=bolts.at_mm,
        bolts_z_mm=room.bolts_z_mm,
        dowels_mm=dowels.at_mm,
        dowels_z_mm=room.dowels_z_mm,
        wires_mm=wires.at_mm,
        wires_z_mm=room.wires_z_mm,
        wires_diameter_mm=d,
    )


def _chosen(allowed: Spans, count: int, settings: JointSettings, fixed_mm: tuple[float, ...]) -> Pattern:
    """Up to ``count`` places, mirrored about the middle: fewer rather than lopsided ones."""
    if fixed_mm:
        kept = tuple(sorted(p for p in fixed_mm if any(a <= p <= b for a, b in allowed)))
        return Pattern(tuple(p for p in kept if -p in kept))
    for n in range(count, 0, -1):
        found = choose(allowed, 0.0, n, settings.spacing_mm, "spread")
        if found.mirrored and len(found.at_mm) == n:
            return found
    return Pattern(())

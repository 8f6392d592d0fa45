"""Ends made to a profile: its places are used as they are, and what the ends are is held against it.

Claim: with a profile that says where bolts, dowels or wire holes are, every end is drilled there and nowhere
else; a place that is not clear is a fault. A published profile that says how many holes there are, but not
where, is never filled with a guess: that is a fault, and the finding says what to write.

    t    along an end from its middle, on an end that faces right
    z    down from the deck's underside, negative

What this does not know: openings in ends (wire holes are round), and how rails are bent to meet.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import msgspec
from msgspec.structs import replace

from boardwright import Notes, Place
from boardwright.plan.model import Point
from boardwright_timber.model import EndPattern
from boardwright_timber.reference import PublishedEnd, clearance_hole_mm

from .bores import bolt_bore, dowel_bore
from .module_ends import EndProfile, Places
from .settings import Bore, JointSettings
from .spans import FIT_MM, Spans

NEAR_MM = 0.5

type Clear = Callable[[Bore, float], Spans]


class EndFace(msgspec.Struct, frozen=True, kw_only=True):
    """One end as a profile sees it; ``rails_mm`` from the middle, turned to face right. ``bolted``: where a
    bolt may go at a height; ``clear``: where any other hole may."""

    id: str
    board: str
    width_mm: float
    depth_mm: float
    deck_above_floor_mm: float
    rails_mm: tuple[float, ...]
    bolted: Clear
    clear: Clear


def profiled(
    chosen: EndPattern,
    ends: Sequence[EndFace],
    profile: EndProfile,
    deck_mm: float,
    settings: JointSettings,
    notes: Notes,
) -> EndPattern:
    """The chosen pattern with the profile's places in place of those chosen."""
    top = deck_mm + profile.rail_above_deck_mm

    def placed(places: Places | None) -> tuple[Point, ...]:
        return tuple(sorted((t, round(top - below, 6)) for t, below in places or ()))

    where = [Place(board=e.board, item=e.id) for e in ends]
    if profile.published:
        _say_what_is_published(profile.published, profile, settings, where, notes)
    for kind, places in (("bolts", profile.bolts), ("dowels", profile.dowels), ("wires", profile.wires)):
        if settings.pattern == "symmetric" and places and {(-t, b) for t, b in places} != set(places):
            notes.fault(
                "BW-JOINT-014",
                f"The profile's {kind} are not mirrored about the end's middle: a module turned round would "
                "not fit.",
                where,
                'Mirror them, or set joints.pattern = "handed".',
            )
    for end in ends:
        _hold_against(end, profile, notes)
        for bore, places, clear in (
            (bolt_bore(settings), profile.bolts, end.bolted),
            (dowel_bore(settings), profile.dowels, end.clear),
        ):
            _say_what_is_not_clear(end, bore, placed(places), clear, notes)
    return replace(
        chosen,
        bolts_at=placed(profile.bolts),
        dowels_at=placed(profile.dowels),
        dowels_mm=chosen.dowels_mm if profile.dowels is None else (),
        wires_at=placed(profile.wires),
        wires_mm=chosen.wires_mm if profile.wires is None else (),
        wires_diameter_mm=profile.wire_hole_mm or chosen.wires_diameter_mm,
    )


def _say_what_is_published(
    published: PublishedEnd, profile: EndProfile, settings: JointSettings, where: list[Place], notes: Notes
) -> None:
    mine = {"where the holes are": profile.bolts, "dowels": profile.dowels}
    left = [words for words in published.open if not mine.get(words)]
    notes.note(
        "BW-JOINT-015",
        f"{published.name} says: {published.says} ({published.source}). It is left to your club, or was not "
        f"seen in the source: {', '.join(left)}.",
        where,
        "Agree on them and write them into a profile of your own under [module_ends.profiles].",
    )
    if published.bolts and len(profile.bolts) != published.bolts:
        got = f"{len(profile.bolts)} are given" if profile.bolts else "where they are is not given"
        notes.fault(
            "BW-JOINT-014",
            f"{published.name} has {published.bolts} holes for bolts; {got}, and they are never guessed.",
            where,
            "Take their places from the standard's own sheet and write them as bolts = [[from the middle, "
            f'below the rails], …] into a profile with based_on = "{published.name}".',
        )
    hole = clearance_hole_mm(settings.bolt_size, settings.bolt_fit)
    if published.bolt_hole_mm and abs(hole - published.bolt_hole_mm) > FIT_MM:
        notes.caution(
            "BW-JOINT-014",
            f"{published.name} has holes of {published.bolt_hole_mm:g} mm for bolts; {settings.bolt_size} in "
            f"a {settings.bolt_fit} fit gets {hole:g}.",
            where,
            _bolt_that_fits(published),
        )
    if published.fixings_below_rail_mm:
        other = sorted({b for _, b in profile.bolts if abs(b - published.fixings_below_rail_mm) > NEAR_MM})
        if other:
            notes.caution(
                "BW-JOINT-014",
                f"{published.name} has its holes {published.fixings_below_rail_mm:g} mm below the rails; "
                f"yours are {', '.join(f'{b:g}' for b in other)}.",
                where,
                "Write the published height, unless your club has agreed on another.",
            )


def _bolt_that_fits(published: PublishedEnd) -> str:
    size = published.bolt_size or "M8"
    fits = [f for f in ("fine", "medium", "coarse") if clearance_hole_mm(size, f) == published.bolt_hole_mm]
    if not fits:
        return "Choose bolts that fit such holes."
    return f'Set joints.bolt_size = "{size}" and joints.bolt_fit = "{fits[0]}" (ISO 273).'


def _hold_against(end: EndFace, profile: EndProfile, notes: Notes) -> None:
    for says, mend in _differences(end, profile):
        notes.caution("BW-JOINT-014", f"The end {end.id} {says}.", Place(board=end.board, item=end.id), mend)


def _differences(end: EndFace, profile: EndProfile) -> Iterator[tuple[str, str]]:
    published = profile.published or PublishedEnd(name="", source="")
    widths = (profile.width_mm,) if profile.width_mm else published.widths_mm
    if widths and all(abs(end.width_mm - w) > NEAR_MM for w in widths):
        wanted = " or ".join(f"{w:g}" for w in widths)
        yield (
            f"is {end.width_mm:g} mm wide, its profile {wanted}",
            "Draw the end as wide as its profile.",
        )
    depth = profile.depth_mm or published.depth_mm
    if depth and abs(end.depth_mm - depth) > NEAR_MM:
        yield f"is {end.depth_mm:g} mm deep, its profile {depth:g}", "Set framing.depth_mm to it."
    height = profile.rail_above_floor_mm or published.rail_above_floor_mm
    rail = end.deck_above_floor_mm + profile.rail_above_deck_mm
    if height and abs(rail - height) > NEAR_MM:
        yield (
            f"has its rails {rail:g} mm above the floor, its profile {height:g}",
            f"Change supports.floor_below_mm by {height - rail:+g}, or say under rail_above_deck_mm how high "
            "the rails lie on the deck.",
        )
    if profile.tracks_at_mm is not None:
        wanted_mm = sorted(profile.tracks_at_mm)
        same = len(wanted_mm) == len(end.rails_mm) and all(
            abs(a - b) <= NEAR_MM for a, b in zip(wanted_mm, end.rails_mm, strict=True)
        )
        if not same:
            yield (
                f"is crossed by tracks at {_listed(end.rails_mm)} mm from its middle, its profile has "
                f"{_listed(wanted_mm)}",
                "Lead the tracks to where the profile has them, square to the end.",
            )


def _say_what_is_not_clear(
    end: EndFace, bore: Bore, places: Sequence[Point], clear: Clear, notes: Notes
) -> None:
    lost = [
        (t, z)
        for t, z in places
        if not any(a - FIT_MM <= t <= b + FIT_MM for a, b in clear(bore, z))
        or z > -bore.diameter_mm
        or z < bore.diameter_mm - end.depth_mm
    ]
    if lost:
        notes.fault(
            "BW-JOINT-012",
            f"The profile's holes at {', '.join(f'{t:g}' for t, _ in lost)} mm from the middle are not clear "
            f"on the end {end.id}.",
            Place(board=end.board, item=end.id),
            "Move what stands behind it, make the end wider or deeper, or change the profile.",
        )


def _listed(places: Sequence[float]) -> str:
    return ", ".join(f"{p:g}" for p in places) or "no place"

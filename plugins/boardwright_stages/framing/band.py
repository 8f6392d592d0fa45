"""A band of members along one ring of a board: its outline, its roles, its members, its inner line."""

from __future__ import annotations

from functools import cached_property

import msgspec

from boardwright.plan.model import Point, Ring
from boardwright_timber.geometry import oriented, signed_area, snap_point
from boardwright_timber.model import Member, MemberRole

from .edges import trace
from .members import Corner, Spot, Strip, corners, face_lengths, member_on
from .outline import FrameOutline, frame_outline
from .settings import FramingSettings

END_SHARE = 0.5  # an edge covered by joints to this part is an end


class Fitted(msgspec.Struct, frozen=True):
    """One member, with the lengths of its faces: not above 0 when its corners leave no room for it."""

    member: Member
    outer_mm: float
    inner_mm: float


class Band(msgspec.Struct, frozen=True, dict=True):
    outline: FrameOutline
    roles: tuple[MemberRole, ...]
    strip: Strip
    max_mitre_deg: float

    @cached_property
    def corners(self) -> list[Corner]:
        places = [Spot("", role) for role in self.roles]
        return corners(self.outline.corners, places, self.strip, self.max_mitre_deg)

    def members(self, places: list[Spot]) -> list[Fitted]:
        found = []
        for k, place in enumerate(places):
            end = self.corners[(k + 1) % len(places)]
            member = member_on(place, self.corners[k], end, self.strip)
            found.append(Fitted(member, *face_lengths(member, self.outline.edges[k].line)))
        return found

    @cached_property
    def inner(self) -> Ring:
        """The line of the inner faces; where corners leave no room for it, the nearest line that has room."""
        import shapely

        exact = tuple(snap_point(c.inner) for c in self.corners)
        outer = shapely.Polygon(self.outline.corners)
        well = signed_area(self.outline.corners) < 0
        inner = shapely.Polygon(exact)
        fits = inner.is_valid and (inner.covers(outer) if well else outer.covers(inner))
        if fits and (signed_area(exact) < 0) == well:
            return exact
        moved = outer.buffer(
            self.strip.thickness_mm if well else -self.strip.thickness_mm, join_style="mitre", mitre_limit=10
        )
        parts = sorted(shapely.get_parts(moved), key=lambda p: -p.area)
        if not parts or parts[0].is_empty:
            return ()
        ring: Ring = tuple(snap_point((x, y)) for x, y in parts[0].exterior.coords[:-1])
        return oriented(ring, anticlockwise=not well)


def round_ring(
    ring: Ring,
    joints: tuple[tuple[Point, Point], ...],
    settings: FramingSettings,
    strip: Strip,
    *,
    well: bool,
) -> Band:
    """The band of members along one ring of a board (local coordinates, deck on the left)."""
    outline = frame_outline(
        trace(ring, joints), settings.max_overhang_mm, settings.shortest_member_mm, well=well
    )
    roles = tuple(
        MemberRole.WELL_SIDE
        if well
        else MemberRole.END
        if edge.on_joint_mm >= END_SHARE * length
        else MemberRole.SIDE
        for edge, length in zip(outline.edges, outline.lengths, strict=True)
    )
    return Band(outline, roles, strip, settings.max_mitre_deg)


def narrow_places(members: list[Member], least_mm2: float = 0.01) -> list[tuple[Member, Member, Point]]:
    """Pairs of members that stand in each other's way, and where."""
    import shapely

    if not members:
        return []
    shapes = [shapely.Polygon(m.outline) for m in members]
    tree = shapely.STRtree(shapes)
    found = []
    for a, b in sorted(zip(*(each.tolist() for each in tree.query(shapes, "intersects")), strict=True)):
        if a < b and members[a].meets_height(members[b]):
            both = shapes[a].intersection(shapes[b])
            if both.area > least_mm2:
                middle = both.centroid
                found.append((members[a], members[b], (middle.x, middle.y)))
    return found

"""A plan mirrored left to right: the left-hand module of a right-hand drawing.

Claim: the plan that a mirrored drawing would have given. Everything is turned over the upright line through
the middle of the outlines, so that the layout stays where it was; ids and the places in the drawing are kept,
so that findings still lead back to what was drawn.

What this does not know: positions in the project file ([splitting] names and lift_outs): they are those of
the mirrored plan.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec.structs import replace

from . import rings
from .model import Circle, Device, DrawnJoint, Point, Ring, TrackPlan


def mirrored(plan: TrackPlan) -> TrackPlan:
    xs = [x for outline in plan.outlines for x, _ in outline.ring]
    if not xs:
        return plan
    over = _Over(min(xs) + max(xs))
    return replace(
        plan,
        outlines=tuple(
            replace(
                o,
                ring=over.ring(o.ring),
                wells=tuple(sorted(over.ring(w, clockwise=True) for w in o.wells)),
                circles=over.circles(o.circles),
            )
            for o in plan.outlines
        ),
        tracks=tuple(
            replace(t, points=tuple(map(over.point, t.points)), circles=over.circles(t.circles))
            for t in plan.tracks
        ),
        turnouts=tuple(replace(t, x_mm=over.x(t.x_mm), ring=over.ring(t.ring)) for t in plan.turnouts),
        devices=tuple(map(over.device, plan.devices)),
        drawn_joints=tuple(map(over.joint, plan.drawn_joints)),
        obstacles=tuple(replace(o, ring=over.ring(o.ring)) for o in plan.obstacles),
        lift_outs=tuple(replace(x, x_mm=over.x(x.x_mm)) for x in plan.lift_outs),
    )


class _Over:
    """Turned over the line x = ``twice`` / 2."""

    def __init__(self, twice: float) -> None:
        self.twice = twice

    def x(self, x: float) -> float:
        return rings.snap(self.twice - x, 0.0)[0]

    def point(self, p: Point) -> Point:
        return rings.snap(self.twice - p[0], p[1])

    def ring(self, ring: Ring, clockwise: bool = False) -> Ring:
        return rings.ring(map(self.point, ring), clockwise)

    def circles(self, circles: Iterable[Circle]) -> tuple[Circle, ...]:
        return tuple(
            sorted(
                (replace(c, x_mm=self.twice - c.x_mm) for c in circles),
                key=lambda c: (c.x_mm, c.y_mm, c.radius_mm),
            )
        )

    def device(self, device: Device) -> Device:
        """Its length lies along the mirrored angle; as a rectangle it may point either way along it."""
        return replace(
            device, x_mm=self.x(device.x_mm), angle_deg=round((180.0 - device.angle_deg) % 360.0, 6)
        )

    def joint(self, joint: DrawnJoint) -> DrawnJoint:
        return replace(joint, start=self.point(joint.start), end=self.point(joint.end))

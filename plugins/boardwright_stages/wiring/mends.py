"""What to do about wire holes that find no room: only settings that would change them are named.

Holes made to measure do not follow ``hole_diameter_mm``: for smaller ones measuring must be given up, or what
is measured (the plug's body) must get smaller.
"""

from __future__ import annotations

from boardwright_timber.model import JointDemand

from .measuring import Wanted, wanted
from .settings import WiringSettings


def diameter(measured: bool) -> str:
    """What decides how large holes are."""
    return f"{'wiring.made_to_measure = false and ' if measured else ''}wiring.hole_diameter_mm"


def at_joint(
    demand: JointDemand | None,
    depth_mm: float,
    plug_body_mm: float,
    settings: WiringSettings,
    measure: Wanted,
    got: int,
) -> str:
    """For a joint with room for ``got`` holes of those it asks for (``measure``)."""
    fixed = bool(settings.joint_holes_at_mm)
    measured = demand is not None and settings.made_to_measure and not fixed
    ways = []
    if fixed:
        ways.append("name other places in wiring.joint_holes_at_mm")
    elif got:
        fewer = wanted(demand, depth_mm, plug_body_mm, settings.changed(holes_per_joint=0))
        ways += ["set wiring.holes_per_joint lower"] if fewer.count < measure.count else []
    if measured and wanted(demand, depth_mm, 0.0, settings).diameter_mm < measure.diameter_mm:
        ways.append("take a smaller plug (wires.plug_body_mm; 0: at the joint's face)")
    ways.append(f"set {diameter(measured)} lower")
    return "; or ".join(["Make the joint longer", *ways]) + "."

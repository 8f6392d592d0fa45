"""What the holes of bolts and dowels ask for: diameter, room behind, margins."""

from __future__ import annotations

from boardwright_timber.reference import clearance_hole_mm

from .settings import Bore, JointSettings


def bolt_bore(settings: JointSettings) -> Bore:
    d = settings.bolt_diameter_mm
    return Bore(
        diameter_mm=clearance_hole_mm(settings.bolt_size, settings.bolt_fit),
        room_mm=settings.spanner_room_mm,
        end_margin_mm=d * settings.end_distance_diameters,
        edge_margin_mm=max(d * settings.edge_distance_diameters, settings.spanner_room_mm / 2),
    )


def dowel_bore(settings: JointSettings) -> Bore:
    d = settings.dowel_diameter_mm
    return Bore(
        diameter_mm=d,
        room_mm=settings.dowel_room_mm,
        end_margin_mm=d * settings.end_distance_diameters,
        edge_margin_mm=max(d * settings.edge_distance_diameters, settings.dowel_room_mm / 2),
    )

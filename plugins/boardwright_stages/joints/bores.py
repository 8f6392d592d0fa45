"""What the holes of bolts and dowels ask for: diameter, room behind, margins."""

from __future__ import annotations

from boardwright_timber.reference import WING_NUTS, clearance_hole_mm

from .settings import Bore, JointSettings

WING_AIR_MM = 2.0  # so that the wings turn freely


def bolt_bore(settings: JointSettings) -> Bore:
    d = settings.bolt_diameter_mm
    room = settings.spanner_room_mm
    if settings.nut == "wing nut" and settings.bolt_size in WING_NUTS:
        room = max(room, WING_NUTS[settings.bolt_size].span_mm + WING_AIR_MM)
    return Bore(
        diameter_mm=clearance_hole_mm(settings.bolt_size, settings.bolt_fit),
        room_mm=room,
        end_margin_mm=d * settings.end_distance_diameters,
        edge_margin_mm=max(d * settings.edge_distance_diameters, room / 2),
    )


def dowel_bore(settings: JointSettings) -> Bore:
    d = settings.dowel_diameter_mm
    return Bore(
        diameter_mm=d,
        room_mm=settings.dowel_room_mm,
        end_margin_mm=d * settings.end_distance_diameters,
        edge_margin_mm=max(d * settings.edge_distance_diameters, settings.dowel_room_mm / 2),
    )

"""The wires of real packs: every device is led to, through holes that are drawn in the parts' DXF files."""

from __future__ import annotations

import math
from typing import Any

from packs import Pack, circles, to_plan
from shapely import LineString, Point, Polygon

ROUTE_MM = 2.0  # a wire's bend stands this far outside a hole's mouth at most


def holes_in_dxf(pack: Pack, board: dict[str, Any]) -> dict[str, list[tuple[float, float, float]]]:
    """Part → plan place and diameter of every hole drawn in it."""
    found = {}
    for part in board["parts"]:
        if part["placement"]["stands"]:
            drawn = circles(pack.dxf(f"dxf/parts/{part['id']}.dxf"), ("HOLE",))
            found[part["id"]] = [(*to_plan(board, part, x, y)[:2], d) for x, y, d in drawn]
    return found


def members(board: dict[str, Any]) -> dict[str, Polygon]:
    """Every member's shape in plan."""
    a = math.radians(board["angle_deg"])
    (ox, oy), c, s = board["origin"], math.cos(a), math.sin(a)
    names = ("outer_start", "outer_end", "inner_end", "inner_start")
    return {
        m["id"]: Polygon([(ox + u * c - v * s, oy + u * s + v * c) for u, v in (m[n] for n in names)])
        for m in board["frame"]["members"]
    }


def test_every_device_is_led_to_from_its_source(pack: Pack) -> None:
    wires = pack.data["wires"]
    assert wires["off"] == []
    led = {d for run in wires["runs"] for d in (*run["devices"], run["source"])}
    assert {d["id"] for d in pack.data["plan"]["devices"] if d["conductors"]} <= led
    for run in wires["runs"]:
        if run["kind"] == "dropper":
            continue
        joined = {run["source"]}
        for leg in run["legs"]:
            assert leg["start"] in joined, (run["id"], leg["start"])
            joined.add(leg["end"])
        assert set(run["devices"]) <= joined
        assert run["drop_v"] <= run["limit_v"]


def test_no_wire_crosses_a_member_without_a_hole_drawn_in_its_dxf(pack: Pack) -> None:
    crossings = 0
    drawn = {b: holes_in_dxf(pack, board) for b, board in pack.boards.items()}
    wood = {b: members(board) for b, board in pack.boards.items()}
    for run in pack.data["wires"]["runs"]:
        for leg in run["legs"]:
            line = LineString(leg["points"]) if len(leg["points"]) > 1 else None
            for name, shape in wood[leg["board"]].items():
                through = line.intersection(shape.buffer(-0.5)) if line else None
                if through is None or through.is_empty or through.length < 1.0:
                    continue
                near = [
                    d for x, y, d in drawn[leg["board"]][name] if through.distance(Point(x, y)) <= ROUTE_MM
                ]
                assert near, (run["id"], leg["board"], name)
                crossings += 1
    assert crossings > 0


def test_every_plug_lists_the_same_runs_its_joint_carries(pack: Pack) -> None:
    wires = pack.data["wires"]
    crossing: dict[str, set[str]] = {}
    for run in wires["runs"]:
        for leg in run["legs"]:
            if leg["end"].startswith("plug "):
                crossing.setdefault(leg["end"].removeprefix("plug "), set()).add(run["id"])
    listed: dict[str, set[str]] = {}
    for plug in wires["plugs"]:
        assert len(plug["pins"]) <= plug["ways"]
        listed.setdefault(plug["joint"], set()).update(p["run"] for p in plug["pins"])
    assert listed == crossing


def test_no_hole_is_fuller_than_it_may_be(pack: Pack) -> None:
    assert all(h["fill"] <= h["limit"] + 1e-6 for h in pack.data["wires"]["holes"])


def test_every_joint_has_a_hole_to_spare_or_it_is_told(pack: Pack) -> None:
    """One of its holes is empty; a plug's body passes every hole that wires go through."""
    told = {w["item"] for f in pack.data["findings"] if f["code"] == "BW-WIRE-017" for w in f["where"]}
    at: dict[str, list[dict[str, Any]]] = {}
    for hole in pack.data["wires"]["holes"]:
        if hole["joint"]:
            at.setdefault(hole["joint"], []).append(hole)
    body = pack.data["settings"].get("wires", {}).get("plug_body_mm", 18.0)
    for joint, holes in at.items():
        assert joint in told or any(h["cores"] == 0 for h in holes), joint
        assert all(h["diameter_mm"] > body for h in holes if h["cores"]), joint

"""The main job on real drawings: every promise of a pack, proved from pack.json and from the DXF files.

The reading is independent of the code under test (see ``packs.py``).
"""

from __future__ import annotations

import math
from itertools import combinations
from pathlib import Path
from typing import Any

from packs import Pack, circles, closed_contours, keepout, part_area, rounded, to_plan
from shapely import LineString, Point, Polygon, box
from shapely.ops import unary_union


def board_polygons(pack: Pack) -> dict[str, Polygon]:
    return {b["id"]: Polygon(b["ring"], b["wells"]) for b in pack.data["boards"]}


def tiles(outlines: list[Polygon], boards: dict[str, Polygon]) -> None:
    outline_area = sum(o.area for o in outlines)
    together = unary_union(list(boards.values()))
    assert together.symmetric_difference(unary_union(outlines)).area <= 1.0  # mm²
    assert abs(sum(b.area for b in boards.values()) - outline_area) <= 1.0  # mm²: no overlap either
    for one, two in combinations(boards.values(), 2):
        assert one.intersection(two).area <= 1.0


def gaps(pack: Pack) -> dict[str, Polygon]:
    """The strips that lift-outs leave free along their joints, each as wide as its working clearance."""
    found = {}
    for joint in pack.data["joints"]:
        for board in (pack.boards[b] for b in joint["boards"]):
            if board["clear_mm"]:
                line = LineString([joint["start"], joint["end"]])
                side = 1 if board["id"] == joint["boards"][0] else -1
                found[f"{joint['id']} {board['id']}"] = line.buffer(
                    side * board["clear_mm"], single_sided=True, cap_style="flat"
                )
    return found


def test_boards_tile_the_outline(pack: Pack) -> None:
    tiles(list(pack.outlines.values()), board_polygons(pack) | gaps(pack))


def test_decks_cut_from_their_drawings_tile_the_outline(pack: Pack) -> None:
    """The same from the part DXF files: contours read back, put into place, and laid over the outline."""
    decks = {}
    for part in pack.parts.values():
        if part["role"] != "deck":
            continue
        contours = closed_contours(pack.dxf(f"dxf/parts/{part['id']}.dxf"), "THROUGH_CUT")
        placed = [[to_plan(pack.boards[part["board"]], part, x, y)[:2] for x, y in ring] for ring in contours]
        rings = sorted(placed, key=lambda r: Polygon(r).area)
        decks[part["board"]] = Polygon(rings[-1], rings[:-1])
    assert decks.keys() == pack.boards.keys()
    tiles(pack.true_outlines, decks | gaps(pack))


def test_every_board_is_within_the_limits(pack: Pack) -> None:
    longest, widest = pack.setting("splitting", "max_length_mm"), pack.setting("splitting", "max_width_mm")
    for board in board_polygons(pack).values():
        x, y = board.minimum_rotated_rectangle.exterior.coords.xy
        sides = sorted(math.dist((x[i], y[i]), (x[i + 1], y[i + 1])) for i in range(2))
        assert sides[1] <= longest + 0.001
        assert sides[0] <= widest + 0.001


def test_no_joist_within_a_devices_clearance(pack: Pack) -> None:
    devices = {d["id"]: keepout(d) for d in pack.data["plan"]["devices"]}
    joists = 0
    for part in pack.parts.values():
        if part["role"] != "joist":
            continue
        joists += 1
        board, length, t = pack.boards[part["board"]], part["length_mm"], part["thickness_mm"]
        start, end = to_plan(board, part, 0, 0)[:2], to_plan(board, part, length, 0)[:2]
        # the joist's whole strip in plan: its thickness lies to the left of its direction
        dx, dy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        strip = Polygon(
            [start, end, (end[0] - dy * t, end[1] + dx * t), (start[0] - dy * t, start[1] + dx * t)]
        )
        for name, area in devices.items():
            assert strip.intersection(area).area <= 1e-3, f"{part['id']} stands in the clearance of {name}"
    assert joists >= len(pack.boards)


def test_joists_are_close_enough(pack: Pack) -> None:
    for board in pack.data["boards"]:
        assert board["frame"]["joist_spacing_mm"] <= pack.setting("joists", "spacing_mm") + 1e-6


def holes_at(pack: Pack, board: str, joint: str) -> list[tuple[float, float, float, float]]:
    """(x, y, z, diameter) in plan of a board's holes at a joint, as drawn in its parts' DXF files."""
    found = []
    for part in pack.boards[board]["parts"]:
        wanted = [h for h in part["holes"] if h["joint"] == joint]
        if not wanted:
            continue
        drawn = circles(pack.dxf(f"dxf/parts/{part['id']}.dxf"), ("HOLE", "POCKET"))
        for h in wanted:
            same = [c for c in drawn if math.dist(c[:2], (h["x_mm"], h["y_mm"])) < 1e-6]
            assert len(same) == 1, f"{part['id']}: hole {h} is drawn {len(same)} times"
            assert abs(same[0][2] - h["diameter_mm"]) < 1e-6
            found.append((*to_plan(pack.boards[board], part, *same[0][:2]), same[0][2]))
    return sorted(found)


def across(joint: dict[str, Any], hole: tuple[float, ...]) -> tuple[float, float]:
    """A hole on the joint's own upright face: along its line, and height."""
    (x, y), (u, v) = joint["start"], joint["end"]
    length = math.dist((x, y), (u, v))
    return ((hole[0] - x) * (u - x) + (hole[1] - y) * (v - y)) / length, hole[2]


def test_mating_holes_coincide(pack: Pack) -> None:
    for joint in pack.data["joints"]:
        one, two = (holes_at(pack, b, joint["id"]) for b in joint["boards"])
        clear = sum(pack.boards[b]["clear_mm"] for b in joint["boards"])
        assert len(one) >= 4, (
            f"{joint['id']} has {len(one)} holes: bolts, dowels and a way for wires are wanted"
        )
        assert len(one) == len(two)
        for a in one:
            mate = min(two, key=lambda b: math.dist(a[:3], b[:3]))
            # face to face, or across a lift-out's working clearance, square to the joint
            assert abs(math.dist(a[:3], mate[:3]) - clear) <= 0.01  # mm
            assert math.dist(across(joint, a), across(joint, mate)) <= 0.01
            assert a[3] == mate[3]
        line = LineString([joint["start"], joint["end"]])
        own = pack.boards[joint["boards"][0]]["clear_mm"]
        assert all(abs(line.distance(Point(x, y)) - own) <= 0.01 for x, y, _, _ in one)
        kinds = {
            h["kind"]
            for b in joint["boards"]
            for p in pack.boards[b]["parts"]
            for h in p["holes"]
            if h["joint"] == joint["id"]
        }
        catches = [f for f in pack.data["fixings"] if (f["joint"], f["kind"]) == (joint["id"], "catch")]
        assert not catches or any(pack.boards[b]["lift_out"] for b in joint["boards"])
        assert len(catches) in (0, 2)  # a lift-out may be held by a catch at either end instead of bolts
        assert kinds == ({"dowel", "wire"} if catches else {"bolt", "dowel", "wire"})


def test_every_device_can_be_wired(pack: Pack) -> None:
    assert [b["unreached_devices"] for b in pack.data["boards"]] == [[] for _ in pack.data["boards"]]


def test_every_part_lies_once_inside_the_trim_and_a_kerf_apart(pack: Pack) -> None:
    placed: list[str] = []
    for sheet in pack.data["cutting"]["sheets"]:
        usable = box(
            sheet["trim_mm"],
            sheet["trim_mm"],
            sheet["length_mm"] - sheet["trim_mm"],
            sheet["width_mm"] - sheet["trim_mm"],
        )
        blanks = {}
        for p in sheet["parts"]:
            part = pack.parts[p["part"]]
            size = (part["length_mm"], part["width_mm"])
            lies = (p["length_mm"], p["width_mm"])
            assert lies == (size[::-1] if p["turned"] else size)
            assert not (p["turned"] and part["grain"] == "length"), f"{p['part']} lies across its grain"
            assert (part["material"], part["thickness_mm"]) == (sheet["material"], sheet["thickness_mm"])
            blanks[p["part"]] = box(p["x_mm"], p["y_mm"], p["x_mm"] + lies[0], p["y_mm"] + lies[1])
            assert usable.buffer(1e-6).contains(blanks[p["part"]])
            placed.append(p["part"])
        for a, b in combinations(blanks, 2):
            assert blanks[a].distance(blanks[b]) >= sheet["kerf_mm"] - 1e-6, f"{a} and {b}"
    assert sorted(placed) == sorted(pack.parts)


def test_cut_contours_are_closed_and_of_the_right_size(pack: Pack) -> None:
    """Every part's DXF: closed contours whose area is the part's, on a drawing in millimetres."""
    files = pack.dxf_files("parts")
    assert len(files) == len(pack.parts)
    for path in files:
        document = pack.dxf(f"dxf/parts/{path.name}")
        assert document.header["$INSUNITS"] == 4  # millimetres, by the format's own table
        rings = sorted((Polygon(r).area for r in closed_contours(document, "THROUGH_CUT")), reverse=True)
        part = pack.parts[path.stem]
        openings = sum(Polygon(r).area for r in part["openings"])
        assert abs(rings[0] - sum(rings[1:]) - part_area(part)) <= (0.5 if part["circles"] else 0.01)
        drilled = sum(math.pi * h["diameter_mm"] ** 2 / 4 for h in part["holes"])
        assert abs(Polygon(part["ring"]).area - openings - drilled - part["area_mm2"]) <= 0.01


def test_sheets_are_drawn_with_their_parts(pack: Pack) -> None:
    for sheet in pack.data["cutting"]["sheets"]:
        contours = closed_contours(pack.dxf(f"dxf/sheets/{sheet['id']}.dxf"), "THROUGH_CUT")
        drawn = sum(Polygon(c).area for c in contours)
        parts = [pack.parts[p["part"]] for p in sheet["parts"]]
        wanted = sum(
            Polygon(rounded(ring, part["circles"])).area
            for part in parts
            for ring in (part["ring"], *part["openings"])
        )
        assert abs(drawn - wanted) <= (0.5 if any(part["circles"] for part in parts) else 0.1)


def test_mass_is_volume_times_density(pack: Pack) -> None:
    """Plausible to a builder: birch ply has 660 to 710 kg/m³ (birch plywood data sheet, read)."""
    for board in pack.data["boards"]:
        volume_m3 = sum(p["area_mm2"] * p["thickness_mm"] for p in board["parts"]) / 1e9
        assert 660 <= board["mass_kg"] / volume_m3 <= 710


def test_no_fault_is_found(pack: Pack) -> None:
    assert [f["says"] for f in pack.data["findings"] if f["severity"] == "fault"] == []


def test_checks_of_the_tool_itself_pass(pack: Pack) -> None:
    lines = pack.data["checks"]["lines"]
    assert lines
    assert [line["says"] for line in lines if not line["passed"]] == []


def test_the_page_links_to_files_that_exist(pack: Pack) -> None:
    from html.parser import HTMLParser

    links: list[str] = []

    class Links(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            links.extend(v for k, v in attrs if k in ("href", "src") and v and not v.startswith("#"))

    Links().feed((pack.folder / "index.html").read_text())
    assert links
    missing = [link for link in links if not Path(pack.folder, link.partition("#")[0]).is_file()]
    assert missing == []

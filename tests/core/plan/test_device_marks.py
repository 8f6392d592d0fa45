"""Points and circles with a telling text beside them are devices."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

Draw = Callable[[Any], None]
ON = {"layer": "Devices"}


def test_each_mark_takes_the_nearest_telling_text(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        msp = doc.modelspace()
        msp.add_circle((200, 100), 12, dxfattribs=ON)
        msp.add_circle((240, 100), 12, dxfattribs=ON)
        msp.add_point((600, 300), dxfattribs=ON)
        msp.add_text("PM3 point motor", dxfattribs={**ON, "insert": (205, 120)})
        msp.add_text("by the door", dxfattribs={**ON, "insert": (241, 101)})  # tells no kind
        msp.add_mtext("F-2:\nfeed", dxfattribs={**ON, "insert": (245, 130)})
        msp.add_text("Servo", dxfattribs={**ON, "insert": (610, 310)})

    case = read(draw)
    assert [(d.id, d.kind, d.x_mm, d.y_mm) for d in case.plan.devices] == [
        ("D01", "servo", 600, 300),
        ("F-2", "feed", 240, 100),
        ("PM3", "point_motor", 200, 100),
    ]
    assert not {"BW-READ-024", "BW-READ-065"} & set(case.notes)


def test_a_mark_without_a_kind_is_told_and_left_out(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_circle((200, 100), 12, dxfattribs=ON)
        doc.modelspace().add_text("servo", dxfattribs={**ON, "insert": (200, 161)})  # 61 mm away
        doc.modelspace().add_line((0, 0), (10, 10), dxfattribs=ON)

    case = read(draw)
    assert case.plan.devices == ()
    assert case.notes["BW-READ-065"].where[0].handle
    assert "1 loose line" in case.notes["BW-READ-024"].says


def test_a_row_adds_to_a_mark_by_its_name(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_circle((200, 100), 12, dxfattribs=ON)
        doc.modelspace().add_text("PM3 servo", dxfattribs={**ON, "insert": (200, 120)})

    (device,) = read(draw, "id,kind,depth_mm\nPM3,,77\n").plan.devices
    assert (device.kind, device.x_mm, device.depth_mm) == ("servo", 200, 77)


def test_heights_of_tracks(read: Any, board: Draw) -> None:
    """A rising 3-D polyline, a gap, a polyline at 40 mm: one track, one height a point."""
    on = {"layer": "Tracks"}

    def draw(doc: Any) -> None:
        board(doc)
        msp = doc.modelspace()
        msp.add_polyline3d([(100, 100, 0), (300, 100, 20), (500, 100, 40)], dxfattribs=on)
        msp.add_lwpolyline([(500.5, 100), (700, 100)], dxfattribs={**on, "elevation": 40})
        msp.add_line((100, 400, 0), (800, 400, 0), dxfattribs=on)

    low, flat = sorted(read(draw).plan.tracks, key=lambda t: t.points[0][1])
    # the joined end at 500.25 lies between 300 (20 mm) and 700 (40 mm): 20 + 20 × 200.25 / 400 = 30.0125 mm
    assert low.heights_mm == (0, 20, 30.0125, 40)
    assert len(low.points) == 4
    assert flat.heights_mm == ()


@pytest.mark.parametrize("backwards", [False, True])
def test_heights_of_a_track_over_itself(read: Any, board: Draw, backwards: bool) -> None:
    """Two turns of a square helix, the same four corners twice, 10 mm up on each side; then out."""
    corners = [(300, 100), (600, 100), (600, 300), (300, 300)]
    way = [(100, 100, 0)] + [(*corners[n % 4], 10 + 10 * n) for n in range(9)] + [(300, 450, 100)]
    way = way[::-1] if backwards else way

    def draw(doc: Any) -> None:
        board(doc)
        doc.modelspace().add_polyline3d(way, dxfattribs={"layer": "Tracks"})

    tracks = read(draw).plan.tracks
    told = {(*p, z) for t in tracks for p, z in zip(t.points, t.heights_mm, strict=True)}
    assert told == set(way)


def test_heights_follow_the_units(read: Any, board: Draw) -> None:
    def draw(doc: Any) -> None:
        edge = [(0, 0), (100, 0), (100, 50), (0, 50)]
        doc.modelspace().add_lwpolyline(edge, close=True, dxfattribs={"layer": "Edge"})
        doc.modelspace().add_line((10, 10, 1), (90, 10, 3), dxfattribs={"layer": "Tracks"})

    (track,) = read(draw, insunits=5).plan.tracks  # centimetres
    assert track.heights_mm == (10, 30)

"""Layers named in ``[[drawing.levels]]`` put what is drawn on them on a level."""

from __future__ import annotations

import io

import ezdxf
import pytest

from boardwright import Notes
from boardwright.errors import InputError
from boardwright.plan.levels import height_of
from boardwright.plan.model import TrackPlan
from boardwright.plan.reading import read_plan
from boardwright.plan.settings import DeviceSettings, DrawingSettings, LayerSettings, LevelSettings
from boardwright.plan.source import SourceFile

DEVICES = b"id,kind,x_mm,y_mm,level_mm\nM1,point motor,300,200,250\nM2,point motor,700,200,\n"


def drawing() -> bytes:
    doc = ezdxf.new("R2010", units=4)
    space = doc.modelspace()
    for layer, x in (("Edge low", 0), ("Edge high", 200)):
        corners = ((x, 0), (x + 1000, 0), (x + 1000, 400), (x, 400))
        space.add_lwpolyline(corners, close=True, dxfattribs={"layer": layer})
    for layer, y in (("Track low", 100), ("Track high", 300)):
        space.add_line((0, y), (1200, y), dxfattribs={"layer": layer})
    text = io.StringIO()
    doc.write(text)
    return text.getvalue().encode()


LEVELS = (LevelSettings(layers=("*high",), height_mm=250.0), LevelSettings(layers=("*low",), height_mm=0.0))


def read(
    levels: tuple[LevelSettings, ...], notes: Notes | None = None, devices: bytes = DEVICES
) -> TrackPlan:
    layers = LayerSettings(outline=("Edge*",), tracks=("Track*",))
    settings = DrawingSettings(layers=layers, levels=levels)
    listed = SourceFile("devices.csv", devices)
    return read_plan(
        SourceFile("plan.dxf", drawing()), listed, settings, DeviceSettings(), "Two Levels", notes or Notes()
    )


def test_each_level_has_its_own_outline_tracks_and_devices() -> None:
    plan = read(
        (LevelSettings(layers=("*HIGH",), height_mm=250.0), LevelSettings(layers=("*low",), height_mm=0.0))
    )
    assert [(o.id, o.level_mm, min(o.ring)) for o in plan.outlines] == [
        ("O1", 0, (0, 0)),
        ("O2", 250, (200, 0)),
    ]
    assert sorted((t.points[0][1], t.level_mm) for t in plan.tracks) == [(100, 0), (300, 250)]
    assert {d.id: d.level_mm for d in plan.devices} == {"M1": 250, "M2": None}
    above = plan.at_level(250.0)
    assert [o.id for o in above.outlines] == ["O2"]
    assert [t.points[0][1] for t in above.tracks] == [300]
    assert [d.id for d in above.devices] == ["M1", "M2"]
    assert [d.id for d in plan.at_level(0.0).devices] == ["M2"]


@pytest.mark.parametrize(
    ("x_mm", "level_mm", "told"),
    [
        (300, 200, "at its level, 200 mm (edges are drawn at 0 and 250 mm)"),
        (100, 250, "at its level, 250 mm"),
    ],
)
def test_a_device_under_a_level_that_is_not_there_is_told(x_mm: int, level_mm: int, told: str) -> None:
    """No edge is drawn at 200; the one at 250 begins at 200. Nobody would leave room for it."""
    row = f"id,kind,x_mm,y_mm,level_mm\nM1,point motor,{x_mm},200,{level_mm}\n"
    with pytest.raises(InputError) as refused:
        read(LEVELS, devices=row.encode())
    (fault,) = (f for f in refused.value.findings if f.code == "BW-READ-048")
    assert told in fault.says
    assert "level_mm" in fault.mend


def test_a_track_beyond_the_edge_of_its_own_level_is_told() -> None:
    """The upper track begins at 0 and its edge at 200, 5 mm allowed; the ground below carries none of it. The
    lower one ends at 1200, its edge at 1000."""
    notes = Notes()
    read(LEVELS, notes)
    told = sorted(f.says for f in notes.findings if f.code == "BW-READ-071")
    assert [t.partition(" mm")[0] for t in told] == ["195", "195"]
    assert told[1].endswith("at its level, 250 mm (edges are drawn at 0 and 250 mm)")


def test_edges_one_above_the_other_need_their_levels() -> None:
    with pytest.raises(InputError, match="overlap"):
        read(())
    plan = read((LevelSettings(layers=("edge high",), height_mm=250.0),))
    assert [o.level_mm for o in plan.outlines] == [0.0, 250.0]
    assert {t.level_mm for t in plan.tracks} == {None}  # their layers have no level: they count on both


def test_a_level_that_names_no_layer_is_told_and_a_name_means_itself() -> None:
    """A slip, and a name with brackets, which mean nothing else here than in [drawing.layers]."""
    notes = Notes()
    read((LevelSettings(layers=("Edge high", "Trak high"), height_mm=250.0),), notes)
    (found,) = [f for f in notes.findings if f.code == "BW-READ-009"]
    assert found.says == "the drawing has no layer 'Trak high'"
    assert "'Track high'" in found.mend
    assert found.where[0].key == "[[drawing.levels]] layers, at 250 mm"
    (level,) = levels = (LevelSettings(layers=("Upper [new]?",), height_mm=250.0),)
    assert height_of("UPPER [new]?", levels) == level.height_mm
    assert height_of("Upper n", levels) is None


def test_tracks_whose_layer_no_level_names_are_told_where_they_lie_over_two_levels() -> None:
    """Both tracks run from x = 0 to 1200; the lower edge ends at 1000, the upper begins at 200."""
    high, low = LevelSettings(layers=("edge high",), height_mm=250.0), ("edge low", "Track low")
    for levels, told in (
        ((high,), ["'Track high'", "'Track low'"]),
        ((high, LevelSettings(layers=low, height_mm=0.0)), ["'Track high'"]),
        ((high, LevelSettings(layers=(*low, "Track high"), height_mm=0.0)), []),
    ):
        notes = Notes()
        read(levels, notes)
        found = [f for f in notes.findings if f.code == "BW-READ-094"]
        assert [f.says.split("layer ")[1].split(":")[0] for f in found] == told
        assert all("at 0 and 250 mm" in f.says for f in found)

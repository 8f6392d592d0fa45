"""Layers named in ``[[drawing.levels]]`` put what is drawn on them on a level."""

from __future__ import annotations

import io

import ezdxf
import pytest

from boardwright import Notes
from boardwright.errors import InputError
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


def read(levels: tuple[LevelSettings, ...]) -> TrackPlan:
    layers = LayerSettings(outline=("Edge*",), tracks=("Track*",))
    settings = DrawingSettings(layers=layers, levels=levels)
    listed = SourceFile("devices.csv", DEVICES)
    return read_plan(
        SourceFile("plan.dxf", drawing()), listed, settings, DeviceSettings(), "Two Levels", Notes()
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


def test_edges_one_above_the_other_need_their_levels() -> None:
    with pytest.raises(InputError, match="overlap"):
        read(())
    plan = read((LevelSettings(layers=("edge high",), height_mm=250.0),))
    assert [o.level_mm for o in plan.outlines] == [0.0, 250.0]
    assert {t.level_mm for t in plan.tracks} == {None}  # their layers have no level: they count on both

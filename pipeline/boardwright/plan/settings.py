"""What the project file says about reading: the tables ``[drawing]``, ``[drawing.layers]`` and ``[devices]``.

Glossary
    role    what a drawing layer holds: outline, tracks, turnouts, devices, joints, obstacles, lift_outs
    kind    a sort of device, with the room it usually takes under the deck

What this does not know: how any of it is read. Nothing heavy is imported here.
"""

from __future__ import annotations

from typing import Annotated, Literal

import msgspec

from ..settings import NotNegative, Positive, Section
from .column_names import MEANINGS

WireCount = Annotated[int, msgspec.Meta(ge=0, le=1000)]
type LayerNames = tuple[str, ...]
type Units = Literal["auto", "mm", "cm", "m", "in", "ft", "px"]
type ListUnits = Literal["auto", "mm", "cm", "m", "in", "ft"]


def _layers(what: str) -> msgspec.Meta:
    return msgspec.Meta(description=f"Layers that hold {what}. Case does not matter; * stands for any text.")


class LayerSettings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Role -> layer names. A role that is left out reads no layer."""

    outline: Annotated[LayerNames, _layers("the edge of the layout surface and its wells")] = ()
    tracks: Annotated[LayerNames, _layers("track centrelines")] = ()
    turnouts: Annotated[LayerNames, _layers("turnouts, drawn as block inserts")] = ()
    devices: Annotated[LayerNames, _layers("devices under the deck, drawn as block inserts")] = ()
    joints: Annotated[LayerNames, _layers("lines where a joint between boards is wanted")] = ()
    obstacles: Annotated[LayerNames, _layers("closed shapes to keep free of joints and framing")] = ()
    lift_outs: Annotated[LayerNames, _layers("marks on the boards that lift out")] = ()


ROLES: tuple[str, ...] = LayerSettings.__struct_fields__


class LevelSettings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is drawn on these layers is at this height; on other layers it counts on every level."""

    layers: Annotated[LayerNames, _layers("what is at this height, of whatever role")]
    height_mm: Annotated[float, msgspec.Meta(description="Height of the decks' undersides there.")]


class DrawingSettings(Section, frozen=True, kw_only=True, table="drawing"):
    file: Annotated[
        str, msgspec.Meta(description="The track plan, a DXF or SVG file beside the project file.")
    ] = ""
    units: Annotated[
        Units,
        msgspec.Meta(
            description='Drawing units; "auto" takes what the drawing itself declares ($INSUNITS, or the '
            "width and height of an SVG). A unit stated here is obeyed at any size; px is 1/96 inch."
        ),
    ] = "auto"
    drawn_at: Annotated[
        str,
        msgspec.Meta(
            description='"model": drawn in the size of the boards; "prototype": in that of the real railway, '
            'to be divided by the scale; or a ratio: "1:10" is a plan at a tenth of the boards.'
        ),
    ] = "model"
    scale: Annotated[
        str,
        msgspec.Meta(description="The model's scale, such as 1:76.2."),
    ] = "1:87"
    chord_error_mm: Annotated[
        float,
        msgspec.Meta(
            ge=0.001,
            le=5,
            description="Curves become straight pieces that stray at most this far from the curve.",
        ),
    ] = 0.05
    gap_mm: Annotated[
        float,
        msgspec.Meta(
            ge=0,
            le=50,
            description="Ends of outline pieces up to this far apart are taken to be the same point.",
        ),
    ] = 0.1
    track_gap_mm: Annotated[
        float,
        msgspec.Meta(
            ge=0,
            le=20,
            description="Ends of track pieces up to this far apart are joined where they run on smoothly.",
        ),
    ] = 1.0
    steepest_percent: Annotated[
        float,
        msgspec.Meta(
            ge=0,
            le=100,
            description="A track drawn steeper than this is told; 0: none is. 4 % is as steep "
            "as trains usually manage, common practice, no source; curves and long trains want less.",
        ),
    ] = 4.0
    find_turnouts: Annotated[
        bool,
        msgspec.Meta(
            description="Take every place where tracks part, and no turnout block stands, for a turnout."
        ),
    ] = True
    find_crossings: Annotated[
        bool,
        msgspec.Meta(
            description="Keep joints away from places where tracks cross on one level, as from turnouts."
        ),
    ] = True
    mirrored: Annotated[
        bool,
        msgspec.Meta(
            description="Build the plan mirrored left to right: a left-hand module from the drawing of a "
            "right-hand one. Positions in this file are then those of the mirrored plan."
        ),
    ] = False
    hidden_layers: Annotated[
        Literal["read", "skip"],
        msgspec.Meta(description="Whether layers that are switched off or frozen in the drawing are read."),
    ] = "read"
    layers: Annotated[
        LayerSettings | None,
        msgspec.Meta(
            description="Which layers hold what. Left out: roles are guessed from the layers' names."
        ),
    ] = None
    levels: Annotated[
        tuple[LevelSettings, ...],
        msgspec.Meta(description="Levels one above the other: which layers are at which height."),
    ] = ()


type HoleSize = Annotated[float, msgspec.Meta(ge=0, le=1000)]


class KindSettings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The room one kind of device takes; what is left out keeps the built-in value of that kind."""

    length_mm: Annotated[Positive | None, msgspec.Meta(description="Size along the device's angle.")] = None
    width_mm: Annotated[Positive | None, msgspec.Meta(description="Size across it.")] = None
    depth_mm: Annotated[
        NotNegative | None, msgspec.Meta(description="How far it reaches down from the deck's underside.")
    ] = None
    clearance_mm: Annotated[
        NotNegative | None, msgspec.Meta(description="Free room all round, for a hand or a tool.")
    ] = None
    conductors: Annotated[WireCount | None, msgspec.Meta(description="Wires that run to it.")] = None
    current_ma: Annotated[
        NotNegative | None, msgspec.Meta(description="The most it draws for more than a moment.")
    ] = None
    snap_to_turnout_mm: Annotated[
        NotNegative | None,
        msgspec.Meta(description="As under [devices], for this kind alone; 0: left where it is."),
    ] = None
    hole_mm: Annotated[
        HoleSize | None,
        msgspec.Meta(
            description="Hole through the deck over its middle: diameter, or width of a slot; 0: none."
        ),
    ] = None
    slot_mm: Annotated[
        HoleSize | None,
        msgspec.Meta(description="Length of a slot, across the device's length; 0: a round hole."),
    ] = None


def _heading(column: str) -> msgspec.Meta:
    return msgspec.Meta(description=f"Heading, in your list, of {MEANINGS[column].partition(';')[0]}.")


class ColumnSettings(
    msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True, rename={"from_": "from"}
):
    """Own headings of a device list. A column that is left out is found by its usual name."""

    id: Annotated[str, _heading("id")] = ""
    kind: Annotated[str, _heading("kind")] = ""
    x_mm: Annotated[str, _heading("x_mm")] = ""
    y_mm: Annotated[str, _heading("y_mm")] = ""
    angle_deg: Annotated[str, _heading("angle_deg")] = ""
    length_mm: Annotated[str, _heading("length_mm")] = ""
    width_mm: Annotated[str, _heading("width_mm")] = ""
    depth_mm: Annotated[str, _heading("depth_mm")] = ""
    clearance_mm: Annotated[str, _heading("clearance_mm")] = ""
    hole_mm: Annotated[str, _heading("hole_mm")] = ""
    slot_mm: Annotated[str, _heading("slot_mm")] = ""
    level_mm: Annotated[str, _heading("level_mm")] = ""
    from_: Annotated[str, _heading("from")] = ""
    note: Annotated[str, _heading("note")] = ""

    def named(self) -> dict[str, str]:
        """Column -> own heading, of those that are given."""
        fields = zip(self.__struct_encode_fields__, self.__struct_fields__, strict=True)
        return {column: heading for column, field in fields if (heading := getattr(self, field).strip())}


class DeviceSettings(Section, frozen=True, kw_only=True, table="devices"):
    file: Annotated[
        str, msgspec.Meta(description="The device list, a CSV or XLSX file beside the project file.")
    ] = ""
    units: Annotated[
        ListUnits,
        msgspec.Meta(
            description='Unit of those lengths of the device list whose heading tells none; "auto" takes '
            'millimetres, and says so. A heading that tells its unit ("X (in)", x_cm) is read in that.'
        ),
    ] = "auto"
    columns: Annotated[
        ColumnSettings,
        msgspec.Meta(description="Headings of your own device list, where they are not the usual names."),
    ] = ColumnSettings()
    clearance_mm: Annotated[
        float,
        msgspec.Meta(ge=0, description="Free room round a device whose kind states none of its own."),
    ] = 15.0
    snap_to_turnout_mm: Annotated[
        float,
        msgspec.Meta(
            ge=0,
            le=1000,
            description="Devices that work a turnout are moved to the nearest turnout's point if it is "
            "no farther away than this; 0: they stay where they are.",
        ),
    ] = 0.0
    kinds: Annotated[
        dict[str, KindSettings],
        msgspec.Meta(
            description="Sizes of device kinds that differ from the built-in ones, and kinds of your own."
        ),
    ] = msgspec.field(default_factory=dict)

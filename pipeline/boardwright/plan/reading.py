"""A drawing and a device list become a track plan: ``read_plan``.

Order of events: open → units → roles of layers → plain records (all this is the *sketch*, which the drawing
alone decides) → outline, tracks, … → devices → checks. Everything wrong is told at once, not the first thing
only.

What this does not know: files. It gets bytes, and opens nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import msgspec
from msgspec.structs import replace

from ..errors import InputError
from ..findings import Finding, Notes, Place, Severity
from . import (
    checks,
    device_groups,
    device_marks,
    devices,
    faces,
    heights,
    levels,
    not_read,
    outline,
    things,
    trackage,
)
from .device_columns import Columns
from .device_list import Listed
from .device_list import read as read_list
from .drawn import Curve, Drawn
from .kinds import Catalogue
from .layers import Roles, assign, need_outline
from .mirror import mirrored
from .model import Outline, TrackPlan
from .rebase import near_origin, tell_strays
from .settings import DeviceSettings, DrawingSettings
from .source import SourceFile
from .units import Measure, scale_ratio, settle

MOST_EDGE_PIECES = 20_000


class Sketch(msgspec.Struct, frozen=True, kw_only=True):
    """What the drawing alone gives. ``roles``: layer name in lower case -> the role it plays."""

    drawn: Drawn
    roles: dict[str, str]
    measure: Measure

    def needed(self) -> Sketch:
        """Without the things on layers that play no role."""
        roles = Roles(self.roles)
        wanted = self.drawn.only(lambda layer: roles.of(layer) is not None)
        return msgspec.structs.replace(self, drawn=wanted)


class Reading(msgspec.Struct):
    """How far reading came. ``plan`` is None when the input cannot be used."""

    plan: TrackPlan | None = None
    drawn: Drawn | None = None
    roles: Any = None
    extent: checks.Extent | None = None


def read_plan(
    drawing: SourceFile,
    device_list: SourceFile | None,
    drawing_settings: DrawingSettings,
    device_settings: DeviceSettings,
    name: str,
    notes: Notes,
    sketch: Sketch | None = None,
) -> TrackPlan:
    """The track plan. Raises InputError with every problem when the input cannot be used, and with what was
    mended or looked odd on the way: units that were assumed, or a layer that is not there, may be the cause.

    ``sketch`` is what ``read_drawing`` gave for the same drawing and settings, if it is at hand.
    """
    problems = Notes()
    reading = look(drawing, device_list, drawing_settings, device_settings, name, notes, problems, sketch)
    if problems.findings or reading.plan is None:
        raise InputError([*problems.findings, *_causes(problems, notes)])
    return mirrored(reading.plan) if drawing_settings.mirrored else reading.plan


def _causes(problems: Notes, notes: Notes) -> list[Finding]:
    """What may be behind the problems. What is said of a thing that is wrong itself only follows from it."""
    wrong = {place.item for f in problems.findings for place in f.where if place.item}
    told = (f for f in notes.findings if f.severity in (Severity.CAUTION, Severity.MENDED))
    return [f for f in told if not any(place.item in wrong for place in f.where)]


def look(
    drawing: SourceFile,
    device_list: SourceFile | None,
    drawing_settings: DrawingSettings,
    device_settings: DeviceSettings,
    name: str,
    notes: Notes,
    problems: Notes,
    sketch: Sketch | None = None,
    *,
    everything: bool = False,
) -> Reading:
    """Read as far as possible; what makes the input unusable goes to ``problems``."""
    reading = Reading()
    ratio = scale_ratio(drawing_settings.scale, problems)
    sketch = sketch or read_drawing(drawing, drawing_settings, notes, problems, everything=everything)
    if sketch is None:
        return reading
    drawn, roles = sketch.drawn, Roles(sketch.roles)
    reading.drawn, reading.roles = drawn, roles
    if drawn.is_empty:
        return reading
    plan, columns = _plan(
        drawn, roles, device_list, drawing_settings, device_settings, name, ratio, notes, problems
    )
    reading.extent = checks.extent(plan.outlines)
    if reading.extent:
        checks.size(plan.outlines, sketch.measure, ratio, drawing.name, notes, problems)
    if not problems.findings:
        checks.on_the_layout(plan, columns, notes, problems)
        checks.tracks_on_the_layout(plan.outlines, plan.tracks, notes)
    if not problems.findings:
        reading.plan = plan
    return reading


def read_drawing(
    drawing: SourceFile,
    settings: DrawingSettings,
    notes: Notes,
    problems: Notes,
    *,
    everything: bool = False,
) -> Sketch | None:
    """What the drawing holds on layers with a role, by layer; None when it is no drawing at all.

    With ``everything``, also what lies on other layers (unless that is too much); else it is only counted.
    """
    from . import svg_xml

    try:
        read = _read_svg if svg_xml.looks_like(drawing.data) else _read_dxf
        drawn, roles, measure = read(drawing, settings, notes, problems, everything)
    except InputError as error:
        problems.findings.extend(error.findings)
        return None
    sketch = Sketch(drawn=drawn, roles=roles.found, measure=measure)
    if drawn.is_empty and (cut := next((f for f in notes.findings if f.code == "BW-READ-034"), None)):
        problems.fault(
            "BW-READ-001",
            "the drawing file stops before its end, before anything of the plan",
            cut.where,
            "The save or the copy broke off: save or copy the drawing again.",
        )
        return sketch
    if drawn.is_empty:
        is_svg = svg_xml.looks_like(drawing.data)
        problems.fault(
            "BW-READ-003",
            f"the drawing is empty: {'it' if is_svg else 'its model space'} holds no lines, curves or "
            f"{'shapes' if is_svg else 'blocks'}",
            Place(file=drawing.name),
            "Texts and pictures are not read: draw the plan as paths and shapes, and save again."
            if is_svg
            else "Draw the plan in model space, not on a paper layout, and save again.",
        )
        return sketch
    need_outline(roles, drawn.layers, drawing.name, problems)
    _tell_layers(drawn, roles, settings.hidden_layers, notes)
    if settings.hidden_layers == "skip":
        hidden = {name.casefold() for name in drawn.hidden_layers}
        drawn = drawn.only(lambda layer: layer.casefold() not in hidden)
    drawn = near_origin(drawn, roles, notes)
    tell_strays(drawn, roles, problems)
    not_read.tell(drawn, roles, notes)
    return Sketch(drawn=drawn, roles=roles.found, measure=measure)


type _Read = tuple[Drawn, Roles, Measure]


def _read_dxf(
    drawing: SourceFile, settings: DrawingSettings, notes: Notes, problems: Notes, everything: bool
) -> _Read:
    from . import dxf, dxf_file  # heavy, and not needed while the drawing stays as it was

    doc = dxf_file.load(drawing, notes)
    measure = settle(drawing.name, settings, dxf.declared_units(doc), notes, problems)
    names = dxf.layer_names(doc)
    roles = assign(names, settings.layers, drawing.name, "[drawing.layers]", notes)
    levels.tell_missing(names, settings.levels, notes)

    def read(wanted: Callable[[str], bool] | None) -> tuple[dxf.Reader, Drawn, Notes, Notes]:
        said, wrong = Notes(), Notes()
        reader = dxf.Reader(
            doc, drawing.name, measure, settings.chord_error_mm, roles.keeps_whole, said, wrong, wanted
        )
        return reader, reader.read(), said, wrong

    reader, drawn, said, wrong = read(None if everything else roles.has_role)
    if everything and reader.too_large:
        _, drawn, said, wrong = read(roles.has_role)
    notes.findings.extend(said.findings)
    problems.findings.extend(wrong.findings)
    return drawn, roles, measure


def _read_svg(
    drawing: SourceFile, settings: DrawingSettings, notes: Notes, problems: Notes, everything: bool
) -> _Read:
    from . import svg, svg_layers

    doc = svg.load(drawing)
    measure = settle(drawing.name, settings, doc.declared, notes, problems)
    names = svg_layers.names(doc.root, made_up=settings.layers is not None)
    roles = assign(names, settings.layers, drawing.name, "[drawing.layers]", notes)
    levels.tell_missing(names, settings.levels, notes)
    return (
        svg.Reader(doc, drawing.name, measure, settings.chord_error_mm, roles, notes, problems).read(),
        roles,
        measure,
    )


def _tell_layers(drawn: Drawn, roles: Roles, hidden_layers: str, notes: Notes) -> None:
    used = drawn.used_layers()
    unread = sorted(layer for layer in used if roles.of(layer) is None)
    if unread:
        notes.note(
            "BW-READ-025",
            f"layers with no role are not read: {', '.join(map(repr, unread))}",
            Place(file=drawn.file),
            "Name them under [drawing.layers] if they belong to the plan.",
        )
    hidden = sorted(layer for layer in drawn.hidden_layers if layer in used and roles.of(layer))
    if hidden:
        what = "left out" if hidden_layers == "skip" else "read all the same"
        other = "read" if hidden_layers == "skip" else "skip"
        notes.note(
            "BW-READ-033",
            f"layers that are switched off or frozen in the drawing are {what}: "
            f"{', '.join(map(repr, hidden))}",
            Place(file=drawn.file),
            f'Write hidden_layers = "{other}" under [drawing] if that is wrong.',
        )


def _curves(drawn: Drawn, roles: Roles, role: str, notes: Notes) -> list[Curve]:
    """The curves of a role. What only fills an area counts where areas are wanted and no line was drawn."""
    found = [c for c in drawn.curves if c.points and roles.of(c.layer) == role]
    lines, filled = [c for c in found if not c.filled], [c for c in found if c.filled]
    if filled and role in ("tracks", "joints"):
        notes.caution(
            "BW-READ-058",
            f"{len(filled)} filled areas on the layers of the {role} are no lines, and are left out",
            [drawn.place(c) for c in filled[: not_read.MOST_PLACES]],
            "Draw the line that is meant, or move them to another layer.",
        )
    if lines or not filled or role not in ("outline", "obstacles"):
        return lines
    notes.mended(
        "BW-READ-050",
        f"no line is drawn on the layers of the {role}; the boundaries of {len(filled)} filled areas serve",
        drawn.place(filled[0]),
        "Draw the edge as a line if the filling does not end exactly there.",
    )
    return faces.joined(filled)


def _plan(
    drawn: Drawn,
    roles: Roles,
    device_list: SourceFile | None,
    drawing_settings: DrawingSettings,
    device_settings: DeviceSettings,
    name: str,
    ratio: float,
    notes: Notes,
    problems: Notes,
) -> tuple[TrackPlan, Columns]:
    """The plan, and the columns of the device list as its owner calls them."""
    curves = {r: _curves(drawn, roles, r, notes) for r in roles.NAMES}
    blocks = {r: [b for b in drawn.blocks if roles.of(b.layer) == r] for r in roles.NAMES}
    marks = {r: [m for m in drawn.marks if roles.of(m.layer) == r] for r in ("devices", "lift_outs")}
    gap = drawing_settings.gap_mm
    edges, has_edge = curves["outline"], roles.has("outline")
    if len(edges) > MOST_EDGE_PIECES:
        problems.fault(
            "BW-READ-020",
            f"the outline layers hold {len(edges)} pieces, more than {MOST_EDGE_PIECES}",
            Place(file=drawn.file),
            "Leave only the edge of the layout on them.",
        )
        edges = []
    circles = [c for c in curves["devices"] if device_marks.is_circle(c)]
    if loose := len(curves["devices"]) - len(circles):
        notes.caution(
            "BW-READ-024",
            f"{loose} loose lines on the device layers: only inserts, points and circles are devices",
            Place(file=drawn.file),
            "Make a block of each device, or write it in the device list.",
        )
    strays = sum(not c.closed for c in curves["turnouts"])
    turnouts = things.turnouts(drawn, blocks["turnouts"], strays, notes)
    lines = trackage.assembled(drawn, curves["tracks"], drawing_settings.track_gap_mm, ratio, notes)
    turnouts = things.outlined(drawn, curves["turnouts"], turnouts, [p.at for p in lines.partings], notes)
    if drawing_settings.find_turnouts:
        turnouts = trackage.turnouts(drawn, curves["tracks"], lines, turnouts, ratio, notes)
    if drawing_settings.find_crossings:
        turnouts = trackage.diamonds(drawn, curves["tracks"], lines, turnouts, ratio, notes)
    joints = things.joints(drawn, curves["joints"], notes)
    catalogue = Catalogue(device_settings, Notes())  # what is wrong with the kinds is told with the devices
    blocks["devices"] = device_groups.opened(drawn, drawn.blocks, roles, catalogue, notes)
    blocks["devices"] += device_marks.as_blocks(
        drawn,
        marks["devices"],
        circles,
        [t for t in drawn.texts if roles.of(t.layer) == "devices"],
        catalogue,
        notes,
    )
    outlines: list[Outline] = []
    for height, own in levels.edges_by_level(edges, drawing_settings.levels).items() if has_edge else ():
        found = outline.outlines(drawn, own, gap, notes, problems, drawing_settings.chord_error_mm)
        first = len(outlines) + 1
        outlines += [replace(o, id=f"O{n}", level_mm=height) for n, o in enumerate(found, first)]
    listed = read_list(device_list, device_settings, notes, problems) if device_list else Listed()
    plan = TrackPlan(
        name=name,
        drawing_file=drawn.file,
        scale_ratio=ratio,
        outlines=tuple(outlines),
        tracks=trackage.tracks(drawn, curves["tracks"], lines),
        turnouts=turnouts,
        devices=devices.devices(
            drawn, blocks["devices"], listed, device_settings, notes, problems, turnouts, joints
        ),
        drawn_joints=joints,
        obstacles=things.obstacles(drawn, curves["obstacles"], gap, notes),
        lift_outs=things.lift_outs(drawn, blocks["lift_outs"], marks["lift_outs"], curves["lift_outs"]),
    )
    heights.tell_climbs(plan.tracks, drawing_settings.steepest_percent, notes)
    plan = levels.settled(plan, drawing_settings.levels)
    levels.tell_unnamed(plan, notes)
    return plan, listed.columns

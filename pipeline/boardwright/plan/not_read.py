"""Things on layers with a role that give no line: each kind told, with its places and what to do instead.

Glossary
    passed over  lettering, dimensions and the like: they play no part and are only counted
    not read     anything else that the reader makes nothing of: solids, meshes, pictures, endless lines, …
    hidden       a thing that its drawing marks as not to be seen

What this does not know: how any of these is shaped.
"""

from __future__ import annotations

from ..findings import Notes, Place
from .drawn import Drawn, Skipped
from .layers import Roles

MOST_PLACES = 6

_ENDLESS = "an endless construction line has no ends: draw a line over the part that is meant"
_SOLID = "explode it (a region becomes lines and arcs), or draw its edge, seen from above, as a polyline"
_MESH = "draw its edge, or its centreline, as a polyline over it"
_PICTURE = "draw what is meant over it as polylines: a picture holds no lines"
_MENDS: dict[str, str] = {
    **dict.fromkeys(("RAY", "XLINE"), _ENDLESS),
    **dict.fromkeys(("3DSOLID", "REGION", "BODY", "SURFACE"), _SOLID),
    **dict.fromkeys(("MESH", "POLYLINE"), _MESH),
    **dict.fromkeys(("IMAGE", "OLE2FRAME", "PDFUNDERLAY", "DWFUNDERLAY", "DGNUNDERLAY"), _PICTURE),
}
_ANY = "explode it in your drawing program, or draw it again as a polyline"

_WORDS = ("TEXT", "MTEXT", "ATTDEF", "ATTRIB", "LEADER", "MLEADER", "MULTILEADER", "TOLERANCE", "ACAD_TABLE")
_MEASURES = ("DIMENSION", "ARC_DIMENSION", "LARGE_RADIAL_DIMENSION")
PASSED_OVER = frozenset((*_WORDS, *_MEASURES, "VIEWPORT", "WIPEOUT", "LIGHT", "SUN"))


def tell(drawn: Drawn, roles: Roles, notes: Notes) -> None:
    """A finding for each kind of thing on each layer with a role, naming their handles and places."""
    multilines = [c for c in drawn.curves if c.type == "MLINE" and roles.of(c.layer)]
    if multilines:
        notes.mended(
            "BW-READ-059",
            f"{len(multilines)} multilines are read as one line each: through the points that were drawn",
            [drawn.place(c) for c in multilines[:MOST_PLACES]],
            "Explode them, and keep the line that is meant, if that is another one.",
        )
    groups: dict[tuple[str, str, bool], list[Skipped]] = {}
    for thing in drawn.skipped:
        if roles.of(thing.layer):
            groups.setdefault((thing.layer, thing.type, thing.hidden), []).append(thing)
    for (layer, kind, hidden), things in sorted(groups.items()):
        where = [_place(drawn, thing) for thing in things[:MOST_PLACES]]
        count = f"{len(things)} {kind}" + ("s" if len(things) > 1 else "")
        if hidden:
            notes.caution(
                "BW-READ-080",
                f"{count} on layer {layer!r} are marked as hidden in the drawing, and are left out",
                where,
                "Delete them, or make them visible if they belong to the plan.",
            )
            continue
        mend = _MENDS.get(kind, _SOLID if kind.endswith("SURFACE") else _ANY)
        notes.caution(
            "BW-READ-058",
            f"{count} on layer {layer!r} ({_role(roles, layer)}) cannot be read as lines, and are left out",
            where,
            f"{mend[0].upper()}{mend[1:]}.",
        )


def _role(roles: Roles, layer: str) -> str:
    return (roles.of(layer) or "").replace("_", "-")


def _place(drawn: Drawn, thing: Skipped) -> Place:
    x, y = thing.at if thing.at else (None, None)
    return Place(file=drawn.file, layer=thing.layer, handle=thing.handle or None, x_mm=x, y_mm=y)

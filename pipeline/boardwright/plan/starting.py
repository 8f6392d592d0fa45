"""A project file for a drawing nobody has described yet: guessed, commented, and tried before it is written.

What this does not know: files. It gets bytes and gives text.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from ..errors import InputError
from ..findings import Finding, Notes, Place
from .drawn import Drawn
from .guessing import SURE, Guess, guess
from .kinds import Catalogue
from .reading import look, read_drawing
from .settings import ROLES, DeviceSettings, DrawingSettings, LayerSettings
from .source import SourceFile

MEASURES = (
    *(("auto", "model"), ("auto", "prototype"), ("m", "model"), ("in", "model"), ("cm", "model")),
    *(("ft", "model"), ("mm", "model"), ("m", "prototype")),
)
"""Ways to take a drawing's size: (units, drawn_at), the likeliest first."""
ON_PAPER = (("auto", "1:10"), ("auto", "1:20"))
"""Usual sizes of a plan drawn to scale on a sheet, as an SVG with a physical page size may be."""
LIKELY_MM = (600.0, 20_000.0)
"""Longer side of a layout by which its units are guessed. Common practice, no source."""
EVERYTHING_WHOLE = LayerSettings(devices=("*",))


class Start(msgspec.Struct, frozen=True, kw_only=True):
    """The text of a project file, what it rests on, and what is in its way."""

    text: str
    guesses: tuple[Guess, ...]
    units: str
    drawn_at: str
    size_mm: tuple[float, float] | None
    problems: tuple[Finding, ...]


def several_edges(begun: Start) -> str:
    """A sentence where more than one layer holds an edge; empty where one does."""
    edges = [g.layer for g in begun.guesses if g.role == "outline"]
    if len(edges) < 2:
        return ""
    return (
        f"More than one layer holds an edge ({', '.join(map(repr, edges))}). If one lies above another, "
        "say so first: [[drawing.levels]] in the project file."
    )


def start(drawing: SourceFile, name: str, scale: str) -> Start:
    """Look into a drawing and describe it. Raises InputError when it is none, or has no edge."""
    notes, problems = Notes(), Notes()
    whole = DrawingSettings(file=drawing.name, scale=scale, layers=EVERYTHING_WHOLE)
    sketch = read_drawing(drawing, whole, notes, problems, everything=True)
    if sketch is None or sketch.drawn.is_empty:
        raise InputError(problems.findings)
    guesses = _with_the_rest(guess(sketch.drawn, Catalogue(DeviceSettings(), Notes())), sketch.drawn)
    layers = LayerSettings(**{r: tuple(g.layer for g in guesses if g.role == r) for r in ROLES})
    if not layers.outline:
        shown = ", ".join(repr(g.layer) for g in guesses)
        raise InputError.of(
            "BW-PROJ-010",
            "no layer of the drawing looks like the edge of the layout: none closes round the plan",
            Place(file=drawing.name),
            f"Draw the edge as one closed line on a layer of its own. Layers that hold something: {shown}.",
        )
    first: _Try | None = None
    on_page = drawing.name.lower().endswith(".svg") and not any(
        f.code == "BW-READ-004" for f in notes.findings
    )
    for units, at in (*MEASURES[:2], *(ON_PAPER if on_page else ()), *MEASURES[2:]):
        tried = _try(drawing, scale, layers, units, at)
        first = first or tried
        if tried.likely:
            break
    else:
        tried = first or tried
    settings, size, found = tried.settings, tried.size_mm, tried.problems
    return Start(
        text=_text(name, settings, guesses),
        guesses=guesses,
        units=settings.units,
        drawn_at=settings.drawn_at,
        size_mm=size,
        problems=tuple(found),
    )


def _with_the_rest(guesses: Sequence[Guess], drawn: Drawn) -> tuple[Guess, ...]:
    """One guess more for each layer that holds only what is never read: texts, dimensions."""
    known = {g.layer for g in guesses}
    why = "it holds texts or other things that are never read"
    used = drawn.used_layers() | {t.layer for t in drawn.texts}
    rest = [Guess(layer=n, role=None, confidence=SURE, why=why) for n in used - known]
    return tuple(sorted((*guesses, *rest), key=lambda g: (g.layer.casefold(), g.layer)))


class _Try(msgspec.Struct):
    """A reading with one way to take the size; ``likely``: it comes to a layout's."""

    settings: DrawingSettings
    size_mm: tuple[float, float] | None
    likely: bool
    problems: list[Finding]


def _try(drawing: SourceFile, scale: str, layers: LayerSettings, units: str, drawn_at: str) -> _Try:
    values = {"file": drawing.name, "scale": scale, "units": units, "drawn_at": drawn_at}
    settings = msgspec.structs.replace(msgspec.convert(values, DrawingSettings), layers=layers)
    notes, problems = Notes(), Notes()
    box = look(drawing, None, settings, DeviceSettings(), "", notes, problems).extent
    size = (box.width_mm, box.height_mm) if box else None
    likely = bool(size) and LIKELY_MM[0] <= max(size or (0, 0)) <= LIKELY_MM[1]
    return _Try(settings, size, likely, problems.findings)


_AT = {"model": "the size of the boards", "prototype": "the real railway's size: a guess"}


def _text(name: str, settings: DrawingSettings, guesses: Sequence[Guess]) -> str:
    units = "what the drawing declares" if settings.units == "auto" else "a guess from its size: look it over"
    at = _AT.get(settings.drawn_at, "a plan to scale on a sheet: a guess from its size, look it over")
    lines = [
        "# Guessed from the drawing by `boardwright new`. Look every line over, then run `boardwright pack`.",
        "",
        "[layout]",
        f"name = {_quoted(name)}",
        "",
        "[drawing]",
        f"file = {_quoted(settings.file)}",
        f"scale = {_quoted(settings.scale)}            # the drawing cannot tell: put your own",
        f"units = {_quoted(settings.units)}            # {units}",
        f"drawn_at = {_quoted(settings.drawn_at)}        # {at}",
        "",
        "[drawing.layers]           # how sure: sure (name and shape), likely (name), a guess (shape)",
    ]
    for role in ROLES:
        own = [g for g in guesses if g.role == role]
        if own:
            names = ", ".join(_quoted(g.layer) for g in own)
            why = "; ".join(f"{g.confidence}: {g.why}" for g in own)
            lines.append(f"{role} = [{names}]    # {_comment(why)}")
        else:
            lines.append(f"# {role} = []")
    edges = [g.layer for g in guesses if g.role == "outline"]
    if len(edges) > 1:
        lines += [
            "",
            "# More than one layer holds an edge. Where one lies above the other, say how high each is; else",
            "# an edge inside another is a well. Name layers of tracks, turnouts, devices and joints, too.",
            *(
                line
                for layer in edges
                for line in ("# [[drawing.levels]]", f"# layers = [{_quoted(layer)}]", "# height_mm = 0")
            ),
        ]
    left = [g for g in guesses if g.role is None]
    lines += [f"# not read: {_comment(repr(g.layer))} ({_comment(g.why)})" for g in left]
    lines += [
        "",
        "[devices]",
        '# file = "devices.csv"     # a device list: docs/devices.md tells its columns',
        '# columns = { id = "Name", kind = "Type" }     # where your list has headings of its own',
        "",
        "[splitting]",
        "# max_length_mm = 1200     # the longest board that passes your door",
        "# max_width_mm = 750       # the widest you can reach across and carry",
        "",
    ]
    return "\n".join(lines)


def _comment(text: str) -> str:
    """One line that ends no comment: names come from strangers' drawings."""
    return "".join(c if c.isprintable() else "·" for c in text)[:300]


def _quoted(text: str) -> str:
    """A TOML basic string."""
    return '"' + "".join(map(_escaped, text.encode("utf-8", "replace").decode())) + '"'


def _escaped(c: str) -> str:
    if c in '"\\':
        return "\\" + c
    return c if c.isprintable() else f"\\U{ord(c):08x}"

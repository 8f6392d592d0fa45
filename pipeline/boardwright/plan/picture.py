"""What was read, as a picture in one HTML page: by role, with what was left unread and where findings point.

The page stands alone: no script, nothing loaded, every name from the drawing escaped.

What this does not know: files, boards. It shows reading only.
"""

from __future__ import annotations

import html
from collections import Counter
from collections.abc import Iterable, Sequence

from ..findings import Finding
from .drawn import Curve
from .model import Point, Ring, TrackPlan
from .reading import Reading
from .report import Inspection, plain

MARK = "<!-- boardwright inspect -->"
"""First line of every page: a file that begins otherwise is never written over."""
MOST_POINTS = 200_000

STYLE = """
body { font: 16px/1.45 system-ui, sans-serif; margin: 1rem auto; max-width: 72rem; padding: 0 1rem;
  color: #222; background: #fff; }
svg { width: 100%; height: auto; max-height: 80vh; border: 1px solid #bbb; background: #fff; }
table { border-collapse: collapse; } td, th { border-bottom: 1px solid #ccc; padding: .2rem .8rem .2rem 0;
  text-align: left; vertical-align: top; }
svg * { vector-effect: non-scaling-stroke; } svg text { fill: #222; }
.outline { fill: #f3ead7; stroke: #7a5b20; stroke-width: 2; }
.tracks { fill: none; stroke: #222; stroke-width: 1.5; }
.turnouts { fill: #cfe0f2; stroke: #2b5c94; }
.devices { fill: #f5cfc4; stroke: #a63a1e; }
.clearance { fill: none; stroke: #a63a1e; stroke-dasharray: 3 3; }
.joints { fill: none; stroke: #7b2d8e; stroke-width: 2; stroke-dasharray: 8 4; }
.obstacles { fill: #ddd; stroke: #555; }
.lift_outs { fill: #2e7d4f; stroke: #2e7d4f; }
.unread { fill: none; stroke: #aaa; stroke-dasharray: 2 3; }
.found { fill: #ffd54a; fill-opacity: .8; stroke: #222; }
.key svg { width: 2.2rem; height: 1.1rem; border: 0; }
"""


def page(inspection: Inspection) -> str:
    """The whole page."""
    reading = inspection.reading
    says = "can be read" if inspection.usable else "cannot be used as it is"
    title = f"{inspection.file}: {says}"
    parts = [
        f'{MARK}\n<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{_safe(title)}</title><style>{STYLE}</style></head><body>",
        f"<h1>{_safe(title)}</h1>",
        _picture(reading, inspection.findings),
        _key(reading),
        _layers(reading),
        _findings(inspection.findings),
        "</body></html>\n",
    ]
    return "\n".join(p for p in parts if p)


def _safe(text: str) -> str:
    return html.escape(plain(text))


def _picture(reading: Reading, findings: Sequence[Finding]) -> str:
    drawn, plan = reading.drawn, reading.plan
    if drawn is None:
        return ""
    curves = [c for c in drawn.curves if c.points and (plan is None or reading.roles.of(c.layer) is None)]
    unread, left = _within(curves, MOST_POINTS)
    points = [p for c in unread for p in c.points]
    if plan:
        points += [p for o in plan.outlines for p in o.ring] + [p for t in plan.tracks for p in t.points]
    points += [(b.x_mm, b.y_mm) for b in drawn.blocks]
    if not points:
        return ""
    low_x, high_x = min(p[0] for p in points), max(p[0] for p in points)
    low_y, high_y = min(p[1] for p in points), max(p[1] for p in points)
    span = max(high_x - low_x, high_y - low_y, 1.0)
    edge = 0.03 * span
    width, height = high_x - low_x + 2 * edge, high_y - low_y + 2 * edge
    box = f"{low_x - edge:.1f} {-high_y - edge:.1f} {width:.1f} {height:.1f}"
    shapes = _plan(plan, span / 60) if plan else []
    shapes = [*(_run(c.points, "unread", c.closed) for c in unread), *shapes]
    dots = _dots(findings, span)
    more = f"<p>{left} pieces that are not read are left out of the picture.</p>" if left else ""
    label = "The plan as it was read; yellow numbers are the findings below."
    return (
        f'<svg role="img" aria-label="{label}" viewBox="{box}"><g transform="scale(1,-1)">'
        f"{''.join(shapes)}</g>{dots}</svg>{more}"
    )


def _within(curves: Sequence[Curve], most: int) -> tuple[list[Curve], int]:
    """Curves up to so many points, and how many curves are left out."""
    kept, total = [], 0
    for curve in curves:
        total += len(curve.points)
        if total > most:
            break
        kept.append(curve)
    return kept, len(curves) - len(kept)


def _plan(plan: TrackPlan, dot: float) -> list[str]:
    shapes = [_rings((o.ring, *o.wells), "outline", o.id) for o in plan.outlines]
    shapes += [_rings((x.ring,), "obstacles", x.id) for x in plan.obstacles]
    shapes += [_rings((t.ring,), "turnouts", t.id) for t in plan.turnouts]
    shapes += [_run(t.points, "tracks", False, f"{t.id}, {t.length_mm / 1000:.2f} m") for t in plan.tracks]
    for device in plan.devices:
        shapes.append(_rings((device.keepout(),), "clearance", device.id))
        shapes.append(_rings((device.footprint(),), "devices", f"{device.id}: {device.kind}"))
    shapes += [_run((j.start, j.end), "joints", False, j.id) for j in plan.drawn_joints]
    for mark in plan.lift_outs:
        shapes.append(
            f'<circle class="lift_outs" cx="{mark.x_mm:.1f}" cy="{mark.y_mm:.1f}" r="{dot / 2:.1f}">'
            f"<title>{_safe(mark.id)}</title></circle>"
        )
    return shapes


def _rings(rings: Iterable[Ring], kind: str, title: str) -> str:
    path = "".join("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in ring) + "Z" for ring in rings)
    return f'<path class="{kind}" fill-rule="evenodd" d="{path}"><title>{_safe(title)}</title></path>'


def _run(points: Sequence[Point], kind: str, closed: bool, title: str = "") -> str:
    path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + ("Z" if closed else "")
    return f'<path class="{kind}" d="{path}">{f"<title>{_safe(title)}</title>" if title else ""}</path>'


def _dots(findings: Sequence[Finding], span: float) -> str:
    """A number at every place a finding names."""
    size, dots = span / 110, []
    for n, finding in enumerate(findings, 1):
        for x, y in {(p.x_mm, p.y_mm) for p in finding.where if p.x_mm is not None and p.y_mm is not None}:
            dots.append((n, float(x), float(y)))
    return "".join(
        f'<circle class="found" cx="{x:.1f}" cy="{-y:.1f}" r="{size:.1f}"/><text x="{x:.1f}" '
        f'y="{-y + size / 2:.1f}" font-size="{size * 1.4:.1f}" text-anchor="middle">{n}</text>'
        for n, x, y in sorted(dots)
    )


def _key(reading: Reading) -> str:
    plan = reading.plan
    if plan is None:
        return "<p>Grey: everything the drawing holds. No plan could be made of it; the findings say why.</p>"
    length = sum(t.length_mm for t in plan.tracks) / 1000
    rows = (
        ("outline", f"edge of the layout: {len(plan.outlines)}"),
        ("tracks", f"tracks: {len(plan.tracks)}, {length:.2f} m"),
        ("turnouts", f"turnouts: {len(plan.turnouts)}"),
        ("devices", f"devices: {len(plan.devices)}, with the free room they want"),
        ("joints", f"drawn joints: {len(plan.drawn_joints)}"),
        ("obstacles", f"obstacles: {len(plan.obstacles)}"),
        ("lift_outs", f"lift-outs: {len(plan.lift_outs)}"),
        ("unread", "left unread"),
    )
    sign = '<svg viewBox="0 0 40 20"><rect class="{}" x="3" y="4" width="34" height="12"/></svg>'
    cells = "".join(f"<tr><td>{sign.format(kind)}</td><td>{_safe(says)}</td></tr>" for kind, says in rows)
    return f'<table class="key">{cells}</table>'


def _layers(reading: Reading) -> str:
    drawn = reading.drawn
    if drawn is None:
        return ""
    counts = Counter(c.layer for c in drawn.curves)
    counts.update(b.layer for b in drawn.blocks)
    counts.update(m.layer for m in drawn.marks)
    roles = {layer: (reading.roles.of(layer) or "not read").replace("_", "-") for layer in counts}
    rows = "".join(
        f"<tr><td>{_safe(layer)}</td><td>{_safe(roles[layer])}</td><td>{n}</td></tr>"
        for layer, n in sorted(counts.items())
    )
    return f"<h2>Layers</h2><table><tr><th>layer</th><th>read as</th><th>things</th></tr>{rows}</table>"


def _findings(findings: Sequence[Finding]) -> str:
    if not findings:
        return "<p>Nothing was mended, nothing is amiss.</p>"
    items = "".join(
        f"<li><strong>{_safe(f.severity.value)} {_safe(f.code)}</strong>: {_safe(f.says)}"
        + (f"<br>where: {_safe('; '.join(map(str, f.where)))}" if f.where else "")
        + (f"<br>mend: {_safe(f.mend)}" if f.mend else "")
        + "</li>"
        for f in findings
    )
    return f"<h2>Mended and found</h2><ol>{items}</ol>"

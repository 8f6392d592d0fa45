"""What a drawing holds and how it would be read, in plain lines: what ``boardwright inspect`` prints."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Sequence

import msgspec

from ..display import IN_MM, DisplaySettings
from ..findings import Finding, Notes, Severity, worst_first
from .reading import Reading, look
from .rings import area
from .settings import DeviceSettings, DrawingSettings
from .source import SourceFile

_SIGNS = {
    Severity.FAULT: "FAULT",
    Severity.CAUTION: "Caution",
    Severity.MENDED: "Mended",
    Severity.NOTE: "Note",
}


class Inspection(msgspec.Struct):
    """A reading with everything found on the way. ``usable`` says whether a pack could be made from it."""

    file: str
    reading: Reading
    findings: tuple[Finding, ...]

    @property
    def usable(self) -> bool:
        return self.reading.plan is not None


def inspect_plan(
    drawing: SourceFile,
    device_list: SourceFile | None,
    drawing_settings: DrawingSettings,
    device_settings: DeviceSettings,
    name: str = "",
) -> Inspection:
    """Read as far as possible and keep all findings. Raises nothing for bad input."""
    notes, problems = Notes(), Notes()
    reading = look(
        drawing, device_list, drawing_settings, device_settings, name, notes, problems, everything=True
    )
    return Inspection(drawing.name, reading, worst_first([*problems.findings, *notes.findings]))


def describe(inspection: Inspection, width: int = 80, show: DisplaySettings = IN_MM) -> list[str]:
    """Lines of the report, none wider than ``width`` (at least 40) unless one word alone is; lengths as
    ``show`` says."""
    page = _Page(max(40, width), show)
    reading = inspection.reading
    page.line(f"{inspection.file}: {'can be read' if inspection.usable else 'CANNOT be used as it is'}")
    if reading.drawn:
        _overall(page, reading)
        _layers(page, reading)
    if reading.plan:
        _things(page, reading)
    _findings(page, inspection.findings)
    return page.lines


class _Page:
    def __init__(self, width: int, show: DisplaySettings) -> None:
        self.width, self.show = width, show
        self.lines: list[str] = []

    def line(self, text: str, indent: int = 0) -> None:
        """Add text, wrapped, its later lines indented further."""
        self.lines += textwrap.wrap(
            plain(self.show.prose(text)),
            self.width,
            initial_indent=" " * indent,
            subsequent_indent=" " * (indent + 2),
            break_on_hyphens=False,
        )

    def head(self, text: str) -> None:
        self.lines += ["", text]


def plain(text: str) -> str:
    """Without control characters: names come from strangers' drawings."""
    return text if text.isprintable() else "".join(c if c.isprintable() else "·" for c in text)


def _overall(page: _Page, reading: Reading) -> None:
    drawn, box, plan = reading.drawn, reading.extent, reading.plan
    if drawn:
        page.line(f"Drawing units: {drawn.units}")
    if box:
        page.line(f"Overall size: {box.width_mm:.0f} × {box.height_mm:.0f} mm")
    if plan:
        page.line(f"Scale: 1:{plan.scale_ratio:g}")
        for o in plan.outlines:
            wells = f", {len(o.wells)} well{'s' if len(o.wells) != 1 else ''}" if o.wells else ""
            surface = (area(o.ring) + sum(area(w) for w in o.wells)) / 1e6
            page.line(f"Outline {o.id}: {surface:.3f} m² of layout, {len(o.ring)} corners{wells}", 2)


def _layers(page: _Page, reading: Reading) -> None:
    """One line a layer that holds something: its role and what lies on it."""
    drawn = reading.drawn
    if not drawn:
        return
    on: dict[str, Counter[str]] = {}
    for curve in drawn.curves:
        on.setdefault(curve.layer, Counter())[curve.type.lower()] += 1
    for block in drawn.blocks:
        on.setdefault(block.layer, Counter())[f"block {block.name!r}"] += 1
    for mark in drawn.marks:
        on.setdefault(mark.layer, Counter())["point"] += 1
    inside = {
        layer: Counter({kind.lower(): count for kind, count in counts.items()})
        for layer, counts in drawn.out_of_blocks.items()
    }
    for layer, counts_inside in inside.items():
        on[layer] -= counts_inside  # they are told as what came out of blocks
    for layer, blocks in drawn.opened.items():
        on.setdefault(layer, Counter()).update({f"block {name!r}": count for name, count in blocks.items()})
    for layer, counts in drawn.unread.items():
        on.setdefault(layer, Counter()).update({kind.lower(): count for kind, count in counts.items()})
    for text in drawn.texts:
        on.setdefault(text.layer, Counter())["text"] += 1
    passed = {
        layer: Counter({kind.lower(): count for kind, count in counts.items()})
        for layer, counts in drawn.passed_over.items()
    }
    for thing in drawn.skipped:
        what = f"{'hidden ' if thing.hidden else ''}{thing.type.lower()}"
        passed.setdefault(thing.layer, Counter())[what] += 1
    page.head("Layers")
    for layer in sorted({*on, *passed}):
        role = reading.roles.of(layer) or "no role, not read"
        told = ("", on), ("out of blocks: ", inside), ("passed over: ", passed)
        bits = "; ".join(how + _counts(counts[layer]) for how, counts in told if counts.get(layer))
        page.line(f"{layer!r} → {role.replace('_', '-')}: {bits}", 2)
    empty = sorted(n for n in drawn.layers if n not in on and n not in passed)
    if empty:
        page.line(f"Empty: {', '.join(map(repr, empty))}", 2)


def _counts(counter: Counter[str]) -> str:
    return ", ".join(f"{count} {what}" for what, count in sorted(counter.items()))


def _things(page: _Page, reading: Reading) -> None:
    plan = reading.plan
    if not plan:
        return
    page.head("Read")
    kinds = Counter(d.kind.replace("_", " ") for d in plan.devices)
    length = sum(t.length_mm for t in plan.tracks)
    rows: list[tuple[str, Sequence[object], str]] = [
        ("tracks", plan.tracks, f"{length / 1000:.2f} m without turnouts"),
        ("turnouts", plan.turnouts, ", ".join(t.id for t in plan.turnouts)),
        ("devices", plan.devices, _counts(kinds)),
        ("drawn joints", plan.drawn_joints, ", ".join(j.id for j in plan.drawn_joints)),
        ("obstacles", plan.obstacles, ", ".join(o.id for o in plan.obstacles)),
        ("lift-outs", plan.lift_outs, ", ".join(m.id for m in plan.lift_outs)),
    ]
    for what, things, more in rows:
        page.line(f"{len(things):4d} {what}" + (f": {more}" if things and more else ""), 2)
    if plan.tracks:
        page.head("Tracks by length")
        longest = sorted(plan.tracks, key=lambda t: (-t.length_mm, t.id))
        page.line(", ".join(f"{t.id} {t.length_mm / 1000:.2f} m" for t in longest[:24]), 2)
        if rest := longest[24:]:
            page.line(f"and {len(rest)} more, {sum(t.length_mm for t in rest) / 1000:.2f} m", 2)


def _findings(page: _Page, findings: Sequence[Finding]) -> None:
    if not findings:
        return
    page.head("Findings")
    for f in findings:
        page.line(f"{_SIGNS[f.severity]} {f.code}: {f.says}", 2)
        if f.where:
            page.line(f"where: {'; '.join(map(str, f.where))}", 4)
        if f.mend:
            page.line(f"mend: {f.mend}", 4)

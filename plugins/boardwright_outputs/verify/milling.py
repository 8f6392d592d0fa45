"""Each routed sheet's steps, followed as a cutter would.

Claim: every part is freed once, after all that is cut inside it; the cutter takes nothing off any part beyond
its own reliefs, and its edge runs along the part's outline.

What this does not know: the machine.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from shapely import LinearRing, Point, STRtree
from shapely.ops import unary_union

from .opened import Opened, many
from .record import Routing, Sheet
from .sheets import outline_on_sheet

TOUCH_MM = 0.02
UNCUT_MM = 1.0
TAKEN_MM2 = 0.5  # of a part by the roundness of drawn circles


def check_milling(opened: Opened) -> Iterator[str]:
    steps = 0
    for sheet in opened.pack.cutting.sheets:
        if sheet.routing:
            steps += len(sheet.routing.steps)
            _mill(opened, sheet, sheet.routing)
    if steps:
        yield f"{many(steps, 'step')} of the router free every part and cut into none."


def _mill(opened: Opened, sheet: Sheet, routing: Routing) -> None:
    def fault(code: str, says: str, step: int) -> None:
        opened.fault(code, f"sheet {sheet.id}: {says}", item=f"{sheet.id}, step {step}")

    loose: Counter[str] = Counter()
    there = [
        (p.part, outline_on_sheet(opened.parts[p.part], p)) for p in sheet.parts if p.part in opened.parts
    ]
    tree = STRtree([shape for _, shape in there])
    often = Counter(p.part for p in sheet.parts)
    for n, step in enumerate(routing.steps, 1):
        if step.step != n:
            fault("BW-VERIFY-066", f"step {step.step} of the router stands where step {n} should", n)
            return
        if loose[step.part] and step.kind != "outline":
            fault("BW-VERIFY-066", f"step {n} cuts in {step.part} after it was cut loose", n)
        if step.kind != "outline":
            continue
        loose[step.part] += 1
        if len(step.path) < 3:
            fault("BW-VERIFY-066", f"step {n} has no path to follow", n)
            return
        r = routing.tool_mm / 2
        around = LinearRing(step.path)
        own = min((o for id_, o in there if id_ == step.part), key=around.distance, default=None)
        if own is None or (abs(own.distance(around) - r) > TOUCH_MM and not step.relief):
            fault("BW-VERIFY-067", f"step {n} does not run along the outline of {step.part}", n)
            continue
        swept = around.buffer(r - TOUCH_MM)
        bites = unary_union([Point(p).buffer(r + TOUCH_MM) for p in step.relief])
        for i in tree.query(swept, predicate="intersects"):
            id_, shape = there[i]
            # on the way into a corner the cutter stays within its bite
            taken = shape.intersection(swept).difference(bites)
            if taken.area > TAKEN_MM2:
                fault("BW-VERIFY-067", f"step {n} takes {taken.area:.1f} mm² off {id_}", n)
        notches = own.buffer(r).buffer(-r).difference(own).buffer(10 * TOUCH_MM)  # too narrow for a cutter
        lost = own.exterior.difference(around.buffer(r + TOUCH_MM)).difference(notches)
        if lost.length > UNCUT_MM:
            fault("BW-VERIFY-067", f"step {n} leaves {lost.length:.1f} mm of {step.part} uncut", n)
    for id_, number in often.items():
        if loose[id_] != number:
            fault("BW-VERIFY-066", f"{id_} is cut out {loose[id_]} times, it lies there {number} times", 0)

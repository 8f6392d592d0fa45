"""The page of an SVG drawing: how large its units are, and the frame from it to the plan.

SVG counts y downwards; a plan counts it upwards. The plan's origin is the lower left corner of the view box
(of the page, where there is none), so that places on the page stay positive numbers.

Glossary
    user unit   what the numbers of the drawing count in: units of the root's view box, else pixels

What this does not know: what is on the page.
"""

from __future__ import annotations

from typing import NamedTuple

from .svg_frame import PHYSICAL_MM, PX_MM, Frame, fit, length, split_length, view_box
from .svg_xml import Element
from .units import MILLIMETRES, Declared


class Page(NamedTuple):
    """``size`` is the view box in user units; ``aspect`` how much taller a unit is than it is wide."""

    left: float
    bottom: float
    size: tuple[float, float]
    declared: Declared | None
    aspect: float = 1.0

    def frame(self, factor: float) -> Frame:
        """From user units to millimetres of the plan; ``factor`` is the width of one unit."""
        tall = factor * self.aspect
        return (factor, 0.0, 0.0, -tall, -factor * self.left, tall * self.bottom)


def page(root: Element) -> Page:
    """The page that a root element sets up."""
    box = view_box(root.get("viewBox"))
    width, height = _physical_mm(root.get("width")), _physical_mm(root.get("height"))
    if box is None:
        size = (length(root.get("width"), 0.0), length(root.get("height"), 0.0))
        declared = Declared("px", PX_MM) if width or height else None
        return Page(0.0, size[1], size, declared)
    width = width or (height * box[2] / box[3] if height else 0.0)
    height = height or width * box[3] / box[2]
    corner = (box[0], box[1] + box[3], (box[2], box[3]))
    if not width:
        return Page(*corner, None)
    a, _, _, d, _, _ = fit(box, 0, 0, width, height, root.get("preserveAspectRatio"))
    return Page(*corner, Declared(_name(a), a), d / a)


def _physical_mm(text: str) -> float:
    """A width or height on paper; 0 when it is in pixels, a share, or missing."""
    found = split_length(text)
    return max(0.0, found[0] * PHYSICAL_MM[found[1]]) if found and found[1] in PHYSICAL_MM else 0.0


def _name(unit_mm: float) -> str:
    named = (n for n, mm in MILLIMETRES.items() if abs(unit_mm / mm - 1) < 1e-4)
    return next(named, f"units of {unit_mm:.4g} mm")

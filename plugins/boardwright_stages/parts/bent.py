"""Strips for curved edges as parts: layers, each as long as its own middle line, or one strip with its kerfs.

Claim: a layer keeps the length of its middle, a kerfed strip that of the middle of its skin; bent and put
into place they fill the strip's outline; of strips that butt, the outline of them all, their layers' butts
staggered. The drawn face is the outer one; a kerf is a pencil line, with the
side it is sawn from.

What this does not know: what kerfs weigh (they are not taken off); a strip longer than its sheet (the cutting
tells it). Face grain that stands upright bends most easily (common practice, no source), so these may be cut
either way.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec.structs import replace

from boardwright.plan.model import Point
from boardwright_timber.geometry import offset_path, path_length, snap_point
from boardwright_timber.model import Bent, Frame, Grain, Mark, MarkKind, Part, Placement
from boardwright_timber.reference import density_kg_m3

from ..framing.bent import skin_path
from ..framing.staggered import layer_lines
from .members import KG_PER_MM3

ROLE, LAYER = "curved side", "layer"


def bent_parts(frame: Frame) -> Iterator[Part]:
    """The parts of every strip of a board, the outermost layer first under the strip's own name."""
    lines = layer_lines(frame.bent)
    for bent in frame.bent:
        thick = bent.thickness_mm / bent.layers
        for n in range(bent.layers):
            middle = offset_path(lines[bent.id, n], (n + 0.5) * thick)
            kept = skin_path(bent) if bent.kerfs else middle
            yield _part(frame.board, bent, n, thick, round(path_length(kept), 3), middle)


def _part(board: str, bent: Bent, n: int, thick: float, length: float, middle: tuple[Point, ...]) -> Part:
    name, role = (bent.id, ROLE) if n == 0 else (f"{bent.id}-{n + 1}", LAYER)
    wood = bent.material, thick
    return replace(
        bent_part(board, name, role, wood, (-bent.depth_mm, 0.0), length, middle),
        marks=tuple(
            Mark(
                kind=MarkKind.MEMBER,
                points=((k.x_mm, 0.0), (k.x_mm, bent.depth_mm)),
                text="kerf, from behind" if k.inside else "kerf, from the front",
            )
            for k in bent.kerfs
        ),
        of="" if n == 0 else bent.id,
    )


def bent_part(
    board: str,
    name: str,
    role: str,
    wood: tuple[str, float],
    heights_mm: tuple[float, float],
    length: float,
    middle: tuple[Point, ...],
) -> Part:
    """A strip cut ``length`` long and bent along ``middle``, between two heights; ``wood``: material and
    thickness."""
    (material, thick), (low, high) = wood, heights_mm
    deep = round(high - low, 6)
    area = length * deep
    (x, y), *_ = middle
    return Part(
        id=name,
        board=board,
        role=role,
        label=name,
        material=material,
        thickness_mm=thick,
        length_mm=length,
        width_mm=deep,
        grain=Grain.FREE,
        ring=((0.0, 0.0), (length, 0.0), (length, deep), (0.0, deep)),
        area_mm2=round(area, 3),
        mass_kg=round(area * thick * density_kg_m3(material, thick) * KG_PER_MM3, 6),
        placement=Placement(
            x_mm=round(x, 6),
            y_mm=round(y, 6),
            z_mm=round(low, 6),
            angle_deg=0.0,
            stands=True,
            path=tuple(map(snap_point, middle)),
        ),
    )

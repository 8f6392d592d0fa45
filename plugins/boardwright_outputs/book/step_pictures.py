"""The picture of each assembly step: what is there already pale, what the step adds strong and named.

A board's parts are drawn once, as shapes; each picture shows those it needs, farthest first,
so that a page with many steps stays small. Names leave out the board's own: ``S1`` is ``B01-S1``.

Kept as an artefact of each board, like the other pictures: a board that did not change is not drawn again.
What this does not know: in which order parts are placed or painted; that comes with the steps.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from functools import reduce
from html import escape
from typing import Any

import msgspec

from boardwright import stage
from boardwright.plan.model import Point
from boardwright_timber.model import BoardSteps, SeenBody, Step, StepKind

from ..drawings.drawing import ASCENDER, DESCENDER, Box, box_of, text_width
from ..drawings.names import safe_name, short
from ..drawings.room import Room

#: Height of a capital letter as a share of the picture's width: 11 px at 740 px.
TEXT_SHARE = 0.0155
FONT_SIZE = 1.38  # as in drawings/svg.py
DIRECTIONS = 12
ALONG = (StepKind.FASCIA, StepKind.BACKSCENE)  # what the lifted deck would hide
RINGS = 24


class StepPictures(msgspec.Struct, frozen=True, kw_only=True):
    """SVG markup. ``shapes`` holds every part of the board once and is not seen itself; ``pictures`` are the
    steps' own, in order, and ``words`` what each shows, for those who do not see it."""

    shapes: str
    pictures: tuple[str, ...] = ()
    words: tuple[str, ...] = ()


@stage(each=True)
def step_pictures(steps: BoardSteps) -> StepPictures:
    """One picture a step."""
    decks = {id_ for step in steps.steps if step.kind is StepKind.DECK for id_ in step.adds}
    strips = {id_ for step in steps.steps if step.kind in ALONG for id_ in step.adds}
    whole = _frame([b for b in steps.bodies if b.whole not in strips])
    low = _frame([b for b in steps.bodies if b.part not in decks and b.whole not in strips]) or whole
    wide = _frame([b for b in steps.bodies if b.part not in decks])
    placed: set[str] = set()
    pictures, words = [], []
    for step in steps.steps:
        frame = wide if step.kind in ALONG else whole if decks & set(step.adds) else low
        there = frozenset(placed - decks if step.kind in ALONG else placed)
        words.append(_words(steps, step, [b.part for b in steps.bodies if b.whole in there]))
        if frame:
            pictures.append(_picture(steps, step, there, frame, words[-1]))
        placed.update(step.adds)
    return StepPictures(shapes=_shapes(steps), pictures=tuple(pictures), words=tuple(words))


def _words(steps: BoardSteps, step: Step, there: Sequence[str]) -> str:
    before = f" Already there, pale: {', '.join(sorted(there))}." if there else ""
    lifted = f" The deck is drawn {steps.lift_mm:g} mm above its place." if step.kind is StepKind.DECK else ""
    if step.kind in ALONG:
        lifted = " The deck is left out."
    return (
        f"Step {step.number} of board {steps.board}, seen from the front right and above. "
        f"Added, drawn strong: {', '.join(step.adds)}.{before}{lifted}"
    )


def _shapes(steps: BoardSteps) -> str:
    drawn = "".join(
        f'<g id="{_shape_id(body.part)}">'
        + "".join(f'<path class="f-{face.tone.value}" d="{_path(face.rings)}"/>' for face in body.faces)
        + "</g>"
        for body in steps.bodies
    )
    return f'<svg class="shapes" aria-hidden="true" width="0" height="0"><defs>{drawn}</defs></svg>'


def _shape_id(part: str) -> str:
    return f"w-{safe_name(part)}"


def _path(rings: Iterable[Sequence[Point]]) -> str:
    return "".join(f"M{' '.join(f'{_n(x)} {_n(-y)}' for x, y in ring)}Z" for ring in rings)


def _picture(steps: BoardSteps, step: Step, placed: frozenset[str], frame: Box, words: str) -> str:
    added = frozenset(step.adds)
    seen = [b for b in steps.bodies if b.whole in added or b.whole in placed]
    height = TEXT_SHARE * frame.width
    named, lines, box = _names([b for b in seen if b.whole in added], steps.board, height, frame)
    shown = "".join(
        f'<use href="#{_shape_id(b.part)}" class="{"new" if b.whole in added else "old"}" '
        f'data-part="{escape(b.part)}"/>'
        for b in seen
    )
    id_ = f"step-{safe_name(steps.board)}-{step.number}"
    box = box.grown(height / 2)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="step" role="img" id="{id_}" '
        f'aria-labelledby="{id_}-t" '
        f'viewBox="{_n(box.left)} {_n(-box.top)} {_n(box.width)} {_n(box.height)}">'
        f'<title id="{id_}-t">{escape(words)}</title>{shown}{lines}{named}</svg>'
    )


def _names(bodies: Sequence[SeenBody], board: str, height: float, frame: Box) -> tuple[str, str, Box]:
    """Names on their parts, moved outward (and led back by a line) where another name lies there already."""
    room = Room(cell_mm=4 * height)
    texts, lines, boxes = [], [], [frame]
    for body in bodies:
        name = short(body.part, board)
        at = _free_place(room, name, body.at, height)
        box = _text_box(name, at, height)
        room.add_text(box.grown(height / 4))
        boxes.append(box)
        texts.append(
            f'<text x="{_n(at[0])}" y="{_n(-at[1])}" font-size="{_n(height * FONT_SIZE)}" '
            f'text-anchor="middle" data-part="{escape(body.part)}">{escape(name)}</text>'
        )
        if math.dist(box.centre, body.at) > 2 * height:
            (x0, y0), (x1, y1) = body.at, box.centre
            lines.append(f'<path class="lead" d="M{_n(x0)} {_n(-y0)} {_n(x1)} {_n(-y1)}"/>')
    return "".join(texts), "".join(lines), reduce(Box.with_, boxes)


def _free_place(room: Room, name: str, at: Point, height: float) -> Point:
    """Where the name's line stands, its middle: on the part, or the nearest free place round it."""
    start = (at[0], at[1] - height / 2)
    if room.free(_text_box(name, start, height), soft_too=False):
        return start
    for ring in range(1, RINGS + 1):
        for n in range(DIRECTIONS):
            a = math.tau * n / DIRECTIONS + math.pi / 2
            reach = ring * 1.5 * height
            place = (start[0] + reach * math.cos(a), start[1] + reach * math.sin(a))
            if room.free(_text_box(name, place, height), soft_too=False):
                return place
    return start


def _text_box(name: str, at: Point, height: float) -> Box:
    half = text_width(name, height) / 2
    return Box(at[0] - half, at[1] - DESCENDER * height, at[0] + half, at[1] + ASCENDER * height)


def _frame(bodies: Iterable[SeenBody]) -> Box | None:
    points = [p for b in bodies for f in b.faces for p in f.rings[0]]
    return box_of(points) if points else None


def _n(value: float) -> str:
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


STAGES: list[Callable[..., Any]] = [step_pictures]

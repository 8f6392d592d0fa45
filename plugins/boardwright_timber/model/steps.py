"""Assembly of one board, step by step, and how its wood looks from the front right."""

from __future__ import annotations

from enum import StrEnum

import msgspec

from boardwright.plan.model import Point, Ring


class StepKind(StrEnum):
    LENGTHS = "lengths"
    GIRDERS = "girders"
    FLANGES = "flanges"
    FRAME = "frame"
    WELLS = "wells"
    JOISTS = "joists"
    NOGGINS = "noggins"
    RISERS = "risers"
    EDGES = "edges"
    DECK = "deck"
    FASCIA = "fascia"
    BACKSCENE = "backscene"


class Tone(StrEnum):
    """Which way a face looks: up, to the front left, to the front right."""

    TOP = "top"
    LEFT = "left"
    RIGHT = "right"


class StepUse(msgspec.Struct, frozen=True, kw_only=True):
    """What one step uses up. ``item`` is the name it has in the list of hardware."""

    item: str
    says: str
    quantity: float
    unit: str


class StepLine(msgspec.Struct, frozen=True, kw_only=True):
    """One thing to do or to check, in words; ``part`` is whose, empty when it is nobody's alone."""

    says: str
    part: str = ""


class Step(msgspec.Struct, frozen=True, kw_only=True):
    """One step: the parts it adds, in the order they are placed, and what holds them.

    ``do`` says how, ``checks`` what to check before going on. ``short_drill`` names the parts whose screws
    can only be reached with a right-angled driver, for want of room behind their heads.
    """

    number: int
    kind: StepKind
    title: str
    adds: tuple[str, ...]
    do: tuple[StepLine, ...] = ()
    uses: tuple[StepUse, ...] = ()
    checks: tuple[StepLine, ...] = ()
    short_drill: tuple[str, ...] = ()


class SeenFace(msgspec.Struct, frozen=True):
    """A face on paper, mm: its outline, then its holes."""

    tone: Tone
    rings: tuple[Ring, ...]


class SeenBody(msgspec.Struct, frozen=True, kw_only=True):
    """The faces of one part that are turned towards the viewer; ``at`` is the middle of its largest one.
    ``of``: the strip that it is a later length of."""

    part: str
    faces: tuple[SeenFace, ...]
    at: Point
    of: str = ""

    @property
    def whole(self) -> str:
        """What the steps call it by."""
        return self.of or self.part


class Tie(msgspec.Struct, frozen=True, kw_only=True):
    """What a part is fixed to, by name, in the order these are placed."""

    part: str
    to: tuple[str, ...]


class BoardSteps(msgspec.Struct, frozen=True, kw_only=True):
    """Every part of a board in exactly one step.

    ``bodies`` are all parts seen from the front right and above (isometric), from the farthest to the
    nearest: painted in this order, or any of them left out, each hides what is behind it. The deck is drawn
    ``lift_mm`` above its place. ``ties`` has each part once, in the order of the steps.
    """

    board: str
    steps: tuple[Step, ...] = ()
    bodies: tuple[SeenBody, ...] = ()
    ties: tuple[Tie, ...] = ()
    lift_mm: float = 0.0

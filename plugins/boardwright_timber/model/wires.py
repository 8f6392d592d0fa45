"""The wires of a layout: what runs from where to where, in what, through which holes."""

from __future__ import annotations

from enum import StrEnum

import msgspec

from boardwright.plan.model import Point


class WireKind(StrEnum):
    POWER = "power bus"
    ACCESSORY = "accessory bus"
    LIGHTING = "lighting bus"
    CONTROL = "control run"
    DROPPER = "dropper"


class WireLeg(msgspec.Struct, frozen=True, kw_only=True):
    """A piece of a run on one board, between two of: its source, a device, a splice, a plug.

    ``length_mm`` is what to cut for each core, slack and tails in; ``route_mm`` what lies under the board.
    ``points`` is the way in plan coordinates; ``holes`` names the holes it goes through, in order, as
    member and the millimetres along it.
    """

    board: str
    start: str
    end: str
    route_mm: float
    length_mm: float
    points: tuple[Point, ...]
    holes: tuple[tuple[str, float], ...] = ()


class WireRun(msgspec.Struct, frozen=True, kw_only=True):
    """A run, or a whole bus with its branches.

    ``cores`` lie side by side; their ``colours`` in order. ``far`` is the device with the greatest drop,
    ``drop_v`` that drop at ``current_a`` drawn in all. ``metres`` is of one core, slack in.
    """

    id: str
    label: str
    kind: WireKind
    district: str = ""
    source: str
    devices: tuple[str, ...]
    cores: int
    colours: tuple[str, ...]
    size: str
    area_mm2: float
    current_a: float
    drop_v: float
    limit_v: float
    far: str
    metres: float
    legs: tuple[WireLeg, ...] = ()

    @property
    def passed(self) -> bool:
        return self.drop_v <= self.limit_v


class Pin(msgspec.Struct, frozen=True, kw_only=True):
    """``carries``: what a club's profile calls it. ``run`` "" (and ``core`` 0): no wire here leads to it."""

    number: int
    run: str
    core: int
    colour: str
    carries: str = ""


class JointPlug(msgspec.Struct, frozen=True, kw_only=True):
    """A plug and socket at a joint, with what each pin carries; pins not named are spare.

    At an end that mates with the next module only one half is fitted: ``half`` says which (plug, socket,
    connector), ``name`` which connector of the profile it is."""

    id: str
    joint: str
    boards: tuple[str, str]
    ways: int
    pins: tuple[Pin, ...] = ()
    half: str = ""
    name: str = ""


class HoleLoad(msgspec.Struct, frozen=True, kw_only=True):
    """What goes through one hole. ``fill`` is the share of it that the cores take, ``limit`` the most."""

    board: str
    member: str
    along_mm: float
    joint: str | None
    diameter_mm: float
    cores: int
    fill: float
    limit: float
    runs: tuple[str, ...] = ()


class WireTotal(msgspec.Struct, frozen=True, kw_only=True):
    """Wire to buy: ``metres`` of one size and colour, ``longest_mm`` the longest single piece."""

    size: str
    colour: str
    metres: float
    longest_mm: float


class WireSchedule(msgspec.Struct, frozen=True, kw_only=True):
    """All wires of a layout. ``said`` is what must be told with it; ``off`` names devices not wired."""

    runs: tuple[WireRun, ...] = ()
    plugs: tuple[JointPlug, ...] = ()
    holes: tuple[HoleLoad, ...] = ()
    totals: tuple[WireTotal, ...] = ()
    off: tuple[str, ...] = ()
    said: str = ""

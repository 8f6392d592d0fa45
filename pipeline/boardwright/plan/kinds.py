"""Kinds of devices: the room each takes below the deck, its wires and its current.

Glossary
    length, width   the footprint seen from above; length lies along the device's angle
    depth           how far it reaches down from the deck's underside
    clearance       free room for a hand or a tool all round; None: the project file's [devices] clearance_mm
    conductors      wires that run to it
    hole, slot      what goes through the deck over its middle: a throw pin, a signal's rod, a feed's wires. A
                    slot lies across the device's length, the way a throw pin moves; 0: a round hole
    current         the most it draws for more than a moment, in milliamperes at the usual low voltage

Every row says where its figures come from. All are common practice so far: generous round figures for what is
sold and home made. State your own under ``[devices.kinds.NAME]``, or row by row in the device list.

What this does not know: any maker's product. Mains is never counted: a power supply's wires are its
low-voltage ones.
"""

from __future__ import annotations

import difflib
import re
import unicodedata

import msgspec

from ..findings import Notes, Place
from .settings import DeviceSettings

PRACTICE = "common practice, no source"


class Kind(msgspec.Struct, frozen=True, kw_only=True):
    """One row of the catalogue; see the glossary. ``at_turnout``: it belongs under a turnout's tie bar."""

    length_mm: float
    width_mm: float
    depth_mm: float
    clearance_mm: float | None = None
    conductors: int = 0
    current_ma: float = 0.0
    at_turnout: bool = False
    snap_to_turnout_mm: float | None = None
    hole_mm: float = 0.0
    slot_mm: float = 0.0
    source: str = PRACTICE


def _kind(
    size: tuple[float, float, float],
    clearance: float | None,
    conductors: int,
    current_ma: float,
    at_turnout: bool = False,
    hole_mm: float = 0.0,
) -> Kind:
    length, width, depth = size
    return Kind(
        length_mm=length,
        width_mm=width,
        depth_mm=depth,
        clearance_mm=clearance,
        conductors=conductors,
        current_ma=current_ma,
        at_turnout=at_turnout,
        hole_mm=hole_mm,
    )


KINDS: dict[str, Kind] = {
    "point_motor": _kind((60, 30, 60), None, 3, 2000, True, 12),
    "slow_motion_motor": _kind((90, 60, 90), None, 2, 20, True, 12),
    "servo": _kind((45, 25, 40), 10, 3, 500, True, 10),
    "solenoid": _kind((50, 30, 50), None, 3, 3000, True, 12),
    "frog_switch": _kind((40, 30, 25), 10, 3, 1000),
    "relay_board": _kind((100, 80, 35), 10, 8, 200),
    "electronics": _kind((100, 80, 35), 10, 8, 500),
    "feed": _kind((10, 10, 30), 5, 2, 3000, hole_mm=3),
    "panel": _kind((150, 100, 60), 10, 25, 1000),
    "signal_base": _kind((40, 40, 80), 10, 4, 50, hole_mm=10),
    "sensor": _kind((20, 20, 30), 10, 3, 50, hole_mm=6),
    "uncoupler": _kind((60, 40, 60), 10, 2, 1000),
    "power_supply": _kind((160, 100, 60), 20, 2, 5000),
    "lamp": _kind((15, 15, 40), 5, 2, 20, hole_mm=5),
    "plug": _kind((60, 30, 40), 10, 15, 5000),
    "turntable": _kind((400, 400, 100), 20, 6, 500),
    "turntable_well": _kind((400, 400, 60), 20, 6, 500),
    "crossing_barrier": _kind((50, 30, 60), 10, 3, 100, hole_mm=8),
    "loudspeaker": _kind((80, 80, 50), 10, 2, 500),
}
OTHER_WORDS: dict[str, str] = {
    "turnout_motor": "point_motor",
    "switch_machine": "point_motor",
    "switch_motor": "point_motor",
    "slow_motion": "slow_motion_motor",
    "coil_motor": "solenoid",
    "frog_module": "frog_switch",
    "frog_switch_module": "frog_switch",
    "frog_relay": "frog_switch",
    "relay": "relay_board",
    "decoder": "electronics",
    "dropper": "feed",
    "feeder": "feed",
    "control_panel": "panel",
    "signal": "signal_base",
    "detector": "sensor",
    "transformer": "power_supply",
    "weichenantrieb": "point_motor",
    "weichenmotor": "point_motor",
    "moteur_d_aiguille": "point_motor",
    "moteur_d_aiguillage": "point_motor",
    "wisselmotor": "point_motor",
    "einspeisung": "feed",
    "stellpult": "panel",
    "pupitre": "panel",
    "trafo": "power_supply",
    "transformateur": "power_supply",
    "entkuppler": "uncoupler",
    "drehscheibe": "turntable",
    "lautsprecher": "loudspeaker",
    "haut_parleur": "loudspeaker",
    "light": "lamp",
    "street_lamp": "lamp",
    "socket": "plug",
    "connector": "plug",
    "speaker": "loudspeaker",
}

MOTORS = r"motor|moteur|antrieb|aandrijving|accionamiento|machine"
"""Words of motors of no kind that is told: most on a track plan work turnouts."""

_SIZES = (
    "length_mm",
    "width_mm",
    "depth_mm",
    "clearance_mm",
    "conductors",
    "current_ma",
    "snap_to_turnout_mm",
    "hole_mm",
    "slot_mm",
)


def plain(text: str) -> str:
    """A kind's name as it is compared: small letters without accents, one underscore between words."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    return re.sub(r"[^a-z0-9]+", "_", bare).strip("_")


class Catalogue:
    """The built-in kinds with the project file's changes laid over them."""

    def __init__(self, settings: DeviceSettings, problems: Notes) -> None:
        self.default_clearance_mm = settings.clearance_mm
        self._snap_mm = settings.snap_to_turnout_mm
        self._kinds = dict(KINDS)
        for name, own in sorted(settings.kinds.items()):
            base = self._kinds.get(plain(name))
            merged = {
                field: getattr(own, field) if getattr(own, field) is not None else getattr(base, field, None)
                for field in _SIZES
            }
            if merged["length_mm"] is None or merged["width_mm"] is None:
                problems.fault(
                    "BW-READ-052",
                    f"the kind {name!r} is a new one and needs length_mm and width_mm",
                    Place(key=f"[devices.kinds.{name}]"),
                    "Add both. To change a built-in kind use its name: " + ", ".join(sorted(KINDS)) + ".",
                )
                merged = {
                    **merged,
                    "length_mm": merged["length_mm"] or 1.0,
                    "width_mm": merged["width_mm"] or 1.0,
                }
            merged["depth_mm"] = 0.0 if merged["depth_mm"] is None else merged["depth_mm"]
            merged = {key: value for key, value in merged.items() if value is not None}
            kept = {"at_turnout": base.at_turnout} if base else {}
            self._kinds[plain(name)] = msgspec.convert({**kept, **merged, "source": "[devices.kinds]"}, Kind)

    def snap_mm(self, kind: Kind) -> float:
        """How far a device of this kind may be moved to a turnout; 0: not at all."""
        if kind.snap_to_turnout_mm is not None:
            return kind.snap_to_turnout_mm
        return self._snap_mm if kind.at_turnout else 0.0

    def find(self, text: str) -> tuple[str, Kind] | None:
        """The kind a text names, by its own or another usual word."""
        name = plain(text)
        name = name if name in self._kinds else OTHER_WORDS.get(name, name)
        return (name, self._kinds[name]) if name in self._kinds else None

    def in_name(self, block: str) -> str | None:
        """The kind a block's name tells: the longest one whose words are in it."""
        words = f"_{plain(block)}_"
        known = [*self._kinds, *OTHER_WORDS]
        fits = [k for k in known if f"_{k}_" in words or f"_{k}s_" in words]
        return max(fits, key=lambda k: (len(k), k)) if fits else None

    def nearest(self, text: str) -> str:
        """A mend for an unknown kind: the nearest valid one, or all of them."""
        known, name = [*self._kinds, *OTHER_WORDS], plain(text)
        near = difflib.get_close_matches(name, known, n=1, cutoff=0.8)
        if not near and re.search(MOTORS, name):
            near = ["point_motor"]
        near = near or difflib.get_close_matches(name, known, n=1, cutoff=0.5)
        if near:
            return f"Did you mean {OTHER_WORDS.get(near[0], near[0])!r}?"
        return f"Valid kinds: {', '.join(sorted(self._kinds))}."

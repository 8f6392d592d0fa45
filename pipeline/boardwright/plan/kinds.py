"""Kinds of devices and the room each usually takes below the deck.

Sizes are common practice, no source: generous round figures for what is sold and home made. State your own in
the project file under ``[devices.kinds.NAME]``, or row by row in the device list.
"""

from __future__ import annotations

import difflib
import re

import msgspec

from ..findings import Notes, Place
from .settings import DeviceSettings


class Kind(msgspec.Struct, frozen=True, kw_only=True):
    """Length × width seen from above, depth below the deck's underside, free room all round; millimetres."""

    length_mm: float
    width_mm: float
    depth_mm: float
    clearance_mm: float | None = None


def _kind(length: float, width: float, depth: float, clearance: float | None = None) -> Kind:
    return Kind(length_mm=length, width_mm=width, depth_mm=depth, clearance_mm=clearance)


KINDS: dict[str, Kind] = {
    "point_motor": _kind(60, 30, 60),
    "slow_motion_motor": _kind(90, 60, 90),
    "servo": _kind(45, 25, 40, 10),
    "relay_board": _kind(100, 80, 35, 10),
    "electronics": _kind(100, 80, 35, 10),
    "feed": _kind(10, 10, 30, 5),
    "panel": _kind(150, 100, 60, 10),
    "signal_base": _kind(40, 40, 80, 10),
    "sensor": _kind(20, 20, 30, 10),
    "uncoupler": _kind(60, 40, 60, 10),
    "power_supply": _kind(160, 100, 60, 20),
    "lamp": _kind(15, 15, 40, 5),
    "plug": _kind(60, 30, 40, 10),
    "turntable": _kind(400, 400, 100, 20),
    "crossing_barrier": _kind(50, 30, 60, 10),
    "loudspeaker": _kind(80, 80, 50, 10),
}
OTHER_WORDS: dict[str, str] = {
    "turnout_motor": "point_motor",
    "switch_machine": "point_motor",
    "switch_motor": "point_motor",
    "relay": "relay_board",
    "decoder": "electronics",
    "dropper": "feed",
    "feeder": "feed",
    "control_panel": "panel",
    "signal": "signal_base",
    "detector": "sensor",
    "transformer": "power_supply",
    "light": "lamp",
    "street_lamp": "lamp",
    "socket": "plug",
    "connector": "plug",
    "speaker": "loudspeaker",
}


def plain(text: str) -> str:
    """A kind's name as it is compared: small letters, one underscore between words."""
    return re.sub(r"[^a-z0-9]+", "_", text.casefold()).strip("_")


class Catalogue:
    """The built-in kinds with the project file's changes laid over them."""

    def __init__(self, settings: DeviceSettings, problems: Notes) -> None:
        self.default_clearance_mm = settings.clearance_mm
        self._kinds = dict(KINDS)
        for name, own in sorted(settings.kinds.items()):
            base = self._kinds.get(plain(name))
            merged = {
                field: getattr(own, field) if getattr(own, field) is not None else getattr(base, field, None)
                for field in ("length_mm", "width_mm", "depth_mm", "clearance_mm")
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
            self._kinds[plain(name)] = msgspec.convert(merged, Kind)

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
        near = difflib.get_close_matches(plain(text), [*self._kinds, *OTHER_WORDS], n=1, cutoff=0.5)
        if near:
            return f"Did you mean {OTHER_WORDS.get(near[0], near[0])!r}?"
        return f"Valid kinds: {', '.join(sorted(self._kinds))}."

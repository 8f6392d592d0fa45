"""What is wrong with the wires, in a modeller's words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from boardwright import Notes, Place
from boardwright.plan.model import Device
from boardwright_timber.model import HoleLoad, WireRun

from .laying import Laid
from .nets import Island
from .network_settings import WireSettings


def say_what_is_wrong(
    runs: Sequence[WireRun],
    holes: Sequence[HoleLoad],
    islands: Sequence[Island],
    laid: Sequence[Laid],
    off: Sequence[str],
    devices: Mapping[str, Device],
    settings: WireSettings,
    notes: Notes,
) -> None:
    _names(islands, settings, notes)
    for island in islands:
        if not island.named and len(island.devices) > 1:
            start = devices[island.source]
            notes.note(
                "BW-WIRE-011",
                f"No power supply, panel or electronics among {len(island.devices)} devices that wires can "
                f"pass between; their wires start at {start.id}, where a lead from outside must come in.",
                Place(item=start.id, x_mm=start.x_mm, y_mm=start.y_mm, key="wires.power_source"),
                "Add a power_supply or panel to the device list where it will stand.",
            )
    for run, one in zip(runs, laid, strict=True):
        flowing = max((p.amps for p in one.pieces), default=0.0)
        if not run.passed or flowing > one.wire.amps:
            notes.caution(
                "BW-WIRE-012",
                f"{run.kind.capitalize()} {run.label} loses {run.drop_v:.2f} V of {settings.volts:g} V "
                f"on the way to {run.far} and back ({run.limit_v:.2f} V allowed) and carries "
                f"{flowing:g} A in the thickest conductor at hand, {run.size} ({one.wire.amps:g} A).",
                Place(item=run.far, key="wires.sizes"),
                "Add a thicker size to wires.sizes, put the source nearer, or make more districts.",
            )
    for load in holes:
        if load.cores and load.fill > load.limit + 1e-6:
            notes.caution(
                "BW-WIRE-013",
                f"The {load.diameter_mm:g} mm hole in {load.member} would be {load.fill:.0%} full with "
                f"{load.cores} cores ({load.limit:.0%} at most), and no other hole has room.",
                Place(board=load.board, item=load.member),
                "Ask for more holes (wiring.holes_per_joint), make the frame deeper, which bears larger ones "
                "(set by wiring.hole_diameter_mm where they are not made to measure), or split the wires "
                "between two panels.",
            )
    _joints(holes, settings, notes)
    if off:
        notes.caution(
            "BW-WIRE-014",
            f"Not wired, because no bay holds them: {', '.join(off)}.",
            Place(item=off[0]),
            "Move them off the frame members.",
        )


def _joints(holes: Sequence[HoleLoad], settings: WireSettings, notes: Notes) -> None:
    """A plug must pass, and one hole should stay free for what comes later."""
    at: dict[str, list[HoleLoad]] = {}
    for load in holes:
        if load.joint is not None:
            at.setdefault(load.joint, []).append(load)
    for joint, loads in sorted(at.items()):
        used = [h for h in loads if h.cores]
        tight = [h.diameter_mm for h in used if h.diameter_mm < settings.plug_body_mm]
        if tight:
            notes.caution(
                "BW-WIRE-016",
                f"A plug {settings.plug_body_mm:g} mm thick does not pass the {min(tight):g} mm wire "
                f"holes of joint {joint}.",
                Place(item=joint, key="wires.plug_body_mm"),
                "A deeper frame, which bears larger holes (set by wiring.hole_diameter_mm where they are not "
                "made to measure), a smaller plug, or fit the plugs at the joint's face and set "
                "wires.plug_body_mm to 0.",
            )
        if len(used) == len(loads):
            notes.note(
                "BW-WIRE-017",
                f"Every wire hole of joint {joint} has wires in it: none is spare.",
                Place(item=joint, key="wiring.holes_per_joint"),
                "Ask for one hole more if more wires may come.",
            )


def _names(islands: Sequence[Island], settings: WireSettings, notes: Notes) -> None:
    """Devices that settings name and no island holds."""
    known = {d.id for i in islands for d in i.devices}
    named = [("wires.power_source", settings.power_source), ("wires.panel", settings.panel)]
    named += [(f"wires.districts.{n}.source", d.source) for n, d in sorted(settings.districts.items())]
    for key, name in named:
        if name and name not in known:
            notes.caution(
                "BW-WIRE-015",
                f"{key} names {name}, and no device that can be wired is called so.",
                Place(key=key, item=name),
                f"Write one of: {', '.join(sorted(known)) or 'none there'}.",
            )

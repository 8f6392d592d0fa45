"""The ``[wires]`` table: which buses and runs there are, in what wire, within what drop."""

from __future__ import annotations

from typing import Annotated

import msgspec
from msgspec import Meta

from boardwright import Section


class District(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A part of the layout with a power bus of its own."""

    boards: Annotated[tuple[str, ...], Meta(description="Boards whose feeds belong to it.")] = ()
    devices: Annotated[
        tuple[str, ...], Meta(description="Feeds that belong to it, before any rule about boards.")
    ] = ()
    source: Annotated[
        str, Meta(description='Device its bus starts at; "" takes the layout\'s power source.')
    ] = ""
    current_a: Annotated[
        Annotated[float, Meta(gt=0, le=20)] | None,
        Meta(description="Most its supply gives, amperes; left out: bus_current_a."),
    ] = None


class WireSettings(Section, frozen=True, kw_only=True, table="wires"):
    """The wiring network. Defaults: common practice, no source, but for what names one.

    A drop of 5 % at 12 V direct current is one of the published recommendations (2, 3 and 5 % all appear).
    """

    power_source: Annotated[
        str,
        Meta(description='Device the buses start at; "": a power_supply, else panel, else electronics.'),
    ] = ""
    panel: Annotated[
        str,
        Meta(description='Device control runs lead to; "": the nearest panel, else electronics.'),
    ] = ""
    districts: Annotated[
        dict[str, District],
        Meta(description="Power districts, a bus each; feeds in none belong to the bus called main."),
    ] = msgspec.field(default_factory=dict)
    power_kinds: Annotated[tuple[str, ...], Meta(description="Device kinds on the power bus.")] = (
        "feed",
        "plug",
        "turntable",
        "turntable_well",
    )
    accessory_kinds: Annotated[
        tuple[str, ...], Meta(description="Device kinds that get two cores from the accessory bus.")
    ] = ("panel", "electronics", "relay_board", "uncoupler", "crossing_barrier")
    lighting_kinds: Annotated[tuple[str, ...], Meta(description="Device kinds on the lighting bus.")] = (
        "lamp",
    )
    bus_only_kinds: Annotated[
        tuple[str, ...], Meta(description="Kinds that need no control run besides their bus.")
    ] = ("feed", "plug", "lamp", "panel", "electronics", "relay_board", "power_supply", "uncoupler")
    control_to: Annotated[
        dict[str, str],
        Meta(description="Where a kind's control runs lead: a device kind (its nearest one) or one device."),
    ] = msgspec.field(default_factory=dict)
    volts: Annotated[float, Meta(gt=0, le=50, description="Voltage of the buses and runs; never mains.")] = (
        12.0
    )
    drop_percent: Annotated[
        float,
        Meta(gt=0, le=50, description="Most voltage lost in the wire on the way to the far device and back."),
    ] = 5.0
    celsius: Annotated[
        float, Meta(ge=-20, le=70, description="Temperature the wires' resistance is taken at.")
    ] = 30.0
    bus_current_a: Annotated[
        float, Meta(gt=0, le=20, description="Most that flows in a power bus, whatever hangs on it, amperes.")
    ] = 3.0
    accessory_current_a: Annotated[
        float, Meta(gt=0, le=20, description="The same for the accessory and lighting buses.")
    ] = 3.0
    sizes: Annotated[
        tuple[str, ...],
        Meta(min_length=1, description="Conductor sizes at hand, in mm² or as AWG 20, thinnest first."),
    ] = ("0.22", "0.5", "0.75", "1", "1.5", "2.5", "4")
    bus_least: Annotated[str, Meta(description="Thinnest conductor for a bus.")] = "0.75"
    dropper: Annotated[str, Meta(description="Conductor of the droppers.")] = "0.5"
    dropper_mm: Annotated[float, Meta(gt=0, description="Length of a dropper, from its rail to the bus.")] = (
        300.0
    )
    slack_percent: Annotated[
        float, Meta(ge=0, le=100, description="Added to every stretch of wire for bends and ties.")
    ] = 5.0
    tail_mm: Annotated[
        float, Meta(ge=0, description="Added at each end of a stretch, for a terminal, splice or plug.")
    ] = 150.0
    hole_detour_mm: Annotated[
        float, Meta(ge=0, description="A way this much longer is taken if it needs one fresh hole fewer.")
    ] = 30.0
    plug_ways: Annotated[int, Meta(ge=2, le=64, description="Ways of a plug at a joint.")] = 15
    plug_amps: Annotated[
        float, Meta(gt=0, description="Current of one pin; a core with more takes several pins.")
    ] = 5.0
    plug_spare: Annotated[
        int, Meta(ge=0, le=32, description="Pins kept free in the plugs of every joint.")
    ] = 1
    plug_body_mm: Annotated[
        float,
        Meta(ge=0, description="Thickness of a plug that must pass a joint's hole; 0: none must."),
    ] = 18.0
    labels: Annotated[
        dict[str, str],
        Meta(description="Letters of labels: power bus, accessory bus, lighting bus, control run, dropper."),
    ] = msgspec.field(default_factory=dict)
    colours: Annotated[
        dict[str, tuple[str, ...]],
        Meta(
            description="Colours by the same kinds, or by a district's name; they repeat when cores are more."
        ),
    ] = msgspec.field(default_factory=dict)

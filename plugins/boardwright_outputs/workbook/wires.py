"""Nouns to rows: every piece of wire to cut, and what each pin of each plug carries.

The page shows the same rows. Nothing is worked out here.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

import msgspec

from boardwright_timber.model import JointPlug, Pin, WireLeg, WireRun, WireSchedule

from .sheet import Column, Show, Table, Tick


class LegRow(msgspec.Struct, frozen=True, kw_only=True):
    run: WireRun
    leg: WireLeg

    @property
    def holes(self) -> str:
        """The members whose holes it goes through, with the place along each."""
        return ", ".join(f"{member} at {along:.0f}" for member, along in self.leg.holes)


def leg_rows(wires: WireSchedule) -> Iterator[LegRow]:
    return (LegRow(run=run, leg=leg) for run in wires.runs for leg in run.legs)


def pin_rows(plug: JointPlug) -> Iterator[tuple[str, Pin]]:
    """Pin numbers of a plug; neighbouring pins of one core together."""
    for _, same in groupby(plug.pins, key=lambda p: (p.run, p.core, p.carries)):
        pins = list(same)
        yield ", ".join(str(p.number) for p in pins), pins[0]


def wires(wires: WireSchedule) -> Table:
    rows = tuple(
        (
            r.run.label,
            r.run.kind.value,
            r.leg.board,
            r.leg.start,
            r.leg.end,
            r.run.cores,
            ", ".join(r.run.colours),
            r.run.size,
            r.leg.length_mm,
            r.holes,
            round(r.run.drop_v, 2),
            round(r.run.limit_v, 2),
            Tick(),
        )
        for r in leg_rows(wires)
    )
    return Table(
        name="Wires",
        purpose="Every piece of wire to cut, one row a piece; write the label on both ends. Cut length is of "
        "each core, slack and tails in. Drop is at the run's far device, there and back. " + wires.said,
        columns=(
            Column("Label"),
            Column("Kind"),
            Column("Board"),
            Column("From"),
            Column("To"),
            Column("Cores", Show.COUNT),
            Column("Colours", Show.WRAPPED, widest=30),
            Column("Conductor"),
            Column("Cut\nlength", Show.MM, "mm"),
            Column("Through the holes in", Show.WRAPPED, widest=36),
            Column("Drop", Show.QUANTITY, "V"),
            Column("Allowed", Show.QUANTITY, "V"),
            Column("Done", Show.TICK),
        ),
        rows=rows,
        strong=frozenset(n for n, r in enumerate(leg_rows(wires)) if not r.run.passed),
        closing=tuple(
            (
                *("To buy", "in all", None, None, None, None),
                t.colour,
                t.size,
                round(t.metres * 1000),
                f"longest piece {t.longest_mm:.0f} mm",
            )
            for t in wires.totals
        ),
        when_empty="No device needs a wire.",
    )


def plugs(wires: WireSchedule) -> Table:
    label = {run.id: run.label for run in wires.runs}
    rows = tuple(
        (
            plug.id,
            plug.joint,
            " + ".join(plug.boards),
            plug.ways,
            numbers,
            label.get(pin.run, "–"),
            pin.core or None,
            pin.colour,
            pin.carries,
            Tick(),
        )
        for plug in wires.plugs
        for numbers, pin in pin_rows(plug)
    )
    return Table(
        name="Plugs",
        purpose="What each pin of each plug at a joint carries, the same on both boards. Pins not listed are "
        "spare. A core on several pins carries more than one pin may.",
        columns=(
            Column("Plug"),
            Column("Joint"),
            Column("Boards"),
            Column("Ways", Show.COUNT),
            Column("Pin"),
            Column("Wire"),
            Column("Core", Show.COUNT),
            Column("Colour"),
            Column("Carries"),
            Column("Done", Show.TICK),
        ),
        rows=rows,
        when_empty="No wire crosses a joint.",
    )

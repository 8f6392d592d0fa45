"""What the two boards made by hand cost, bear and stand on (their sums: ``two_boards``)."""

from __future__ import annotations

from decimal import Decimal as D

from boardwright_timber.model import (
    BoardHardware,
    BoardStand,
    BoardStrength,
    Cost,
    CostLine,
    FasteningLine,
    HardwareLine,
    Leg,
    LegRail,
    StrengthLine,
    SupportPoint,
)


def line(
    group: str, item: str, says: str, quantity: str, unit: str, price: str | None, total: str
) -> CostLine:
    return CostLine(
        group=group,
        item=item,
        says=says,
        quantity=D(quantity),
        unit=unit,
        price=None if price is None else D(price),
        total=D(total),
    )


COST = Cost(
    currency="XYZ",
    lines=(
        line("wood", "ply 9", "birch ply 9 mm", "2", "sheet", "31.50", "63.00"),
        line("wood", "ply 12", "birch ply 12 mm", "1", "sheet", "42.10", "42.10"),
        line("hardware", "screw 4x50", "screws", "24", "piece", "0.035", "0.84"),
        line("hardware", "glue", "wood glue", "0.15", "kg", "9.99", "1.50"),
        line("finish", "=varnish", "a tin", "1", "tin", None, "0.00"),
    ),
    total=D("107.44"),
    complete=False,
    per_square_metre=D("119.38"),
    area_m2=D("0.90"),
)


SCREWED = FasteningLine(
    joins="12 mm birch ply onto the end of another strip",
    screw="4 × 50",
    quantity=8,
    pilot_mm=3.0,
    countersink_mm=8.0,
    first="always",
    edge_mm=30.0,
    edge_wanted_mm=12.0,
    apart_mm=30.0,
    apart_wanted_mm=16.0,
    glue="wood glue",
    source="EN 1995-1-1 Table 8.2",
)


def stand(board: str) -> BoardStand:
    spots = ((100.0, 6.0), (100.0, 494.0))
    legs = tuple(
        Leg(
            id=f"{board}-L{n}",
            member=f"{board}-S1",
            x_mm=x,
            y_mm=y,
            top_mm=-90.0,
            length_mm=885.0,
            side_mm=44.0,
            foot_mm=25.0,
        )
        for n, (x, y) in enumerate(spots, 1)
    )
    rail = LegRail(id=f"{board}-LR1", start=spots[0], end=spots[1], length_mm=488.0)
    return BoardStand(board=board, legs=legs, rails=(rail,))


def hardware(board: str, screws: float) -> BoardHardware:
    return BoardHardware(
        board=board,
        lines=(
            HardwareLine(
                item="screw 4x50", says="screws", quantity=screws, unit="piece", why="2 a butt joint"
            ),
            HardwareLine(
                item="glue", says="wood glue", quantity=0.075, unit="kg", why="0.2 kg a square metre"
            ),
        ),
    )


def strength(board: str) -> BoardStrength:
    return BoardStrength(
        board=board,
        support="legs",
        points=(SupportPoint(member="side-1", x_mm=220.0, y_mm=6.0, load_n=230.0, uplift_n=0.0),),
        mass_kg=12.5,
        service_class=2,
        lines=(
            StrengthLine(
                key="frame-sag",
                says="Frame, lasting sag",
                measured=1.2 if board == "B" else 0.3,
                limit=1.0,
                unit="mm",
                where="x 500, y 6",
                rule="members as beams",
                source="EN 1995-1-1",
            ),
        ),
    )

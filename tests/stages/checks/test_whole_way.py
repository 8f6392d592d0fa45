"""Two boards through the real frame and joist stages: every check of the report passes."""

from __future__ import annotations

import pytest

from boardwright import Notes
from boardwright.plan.model import Device, Outline, Ring, TrackPlan
from boardwright_stages.checks.stages import checks
from boardwright_stages.framing.settings import FramingSettings
from boardwright_stages.framing.stages import frame
from boardwright_stages.joists.settings import JoistSettings
from boardwright_stages.joists.stages import joists
from boardwright_stages.splitting.settings import SplittingSettings
from boardwright_stages.splitting.stages import board_plan
from boardwright_stages.strength.settings import SupportSettings
from boardwright_timber.model import Board, Joint

SQUARE = (((0, 0), (900, 0), (900, 500), (0, 500)), ((900, 0), (1800, 0), (1800, 500), (900, 500)))
SKEWED = (((0, 0), (900, 0), (780, 500), (0, 500)), ((900, 0), (1800, 0), (1800, 500), (780, 500)))
TEE = (((0, 0), (1200, 0), (1200, 500), (0, 500)), ((800, 500), (800, 1300), (300, 1300), (300, 500)))
BENT = (
    ((0, 0), (900, 0), (900, 500), (250, 500), (0, 350)),
    ((900, 0), (1500, 100), (1800, 300), (1750, 560), (900, 500)),
)


@pytest.mark.parametrize(
    ("rings", "start", "end"),
    [
        (SQUARE, (900, 0), (900, 500)),
        (SKEWED, (900, 0), (780, 500)),
        (TEE, (800, 500), (300, 500)),
        (BENT, (900, 0), (900, 500)),
    ],
    ids=["square", "skewed", "tee", "bent"],
)
def test_every_check_passes(build, rings: tuple[Ring, Ring], start, end) -> None:
    """``start`` to ``end`` travels with board A on its left."""
    joint = Joint(id="J01", boards=("A", "B"), start=start, end=end)
    motor = Device(
        id="M1",
        kind="point motor",
        x_mm=450,
        y_mm=250,
        length_mm=60,
        width_mm=40,
        depth_mm=50,
        clearance_mm=15,
    )
    corners = (*rings[0][:2], *rings[1][1:], *rings[0][2:])
    ring = corners if rings is not TEE else (*rings[0][:3], *rings[1][:3], rings[1][3], rings[0][3])
    plan = TrackPlan(
        name="pair",
        drawing_file="pair.dxf",
        scale_ratio=76.2,
        outlines=(Outline(id="O1", ring=tuple(dict.fromkeys(ring))),),
        devices=(motor,),
    )
    made, plans = {}, {}
    for name, own in zip("AB", rings, strict=True):
        low = (min(x for x, _ in own), min(y for _, y in own))
        board = Board(
            id=name,
            outline="O1",
            level_mm=0.0,
            ring=own,
            origin=low,
            angle_deg=0.0,
            length_mm=max(x for x, _ in own) - low[0],
            width_mm=max(y for _, y in own) - low[1],
            joints=(joint,),
        )
        plans[name] = board_plan(board, plan)
        own_frame = frame(board, FramingSettings(), Notes())
        own_joists = joists(board, plans[name], own_frame, FramingSettings(), JoistSettings(), Notes())
        made[name] = Built(board, own_frame, own_joists)

    built = build(made, (motor,))
    boards = {n: m.board for n, m in made.items()}
    notes = Notes()
    frames = {n: m.frame for n, m in made.items()}
    splitting = SplittingSettings(max_width_mm=1000)
    answer = checks(plan, boards, plans, built.parts, frames, splitting, SupportSettings(), notes)
    assert [(x.code, x.measured, x.where) for x in answer.lines if not x.passed] == []
    assert notes.findings == []
    assert answer.lines[1].counted == 2 * 6  # two bolts, two dowels, two wires, in both boards
    assert not any(f.severity == "fault" for f in built.notes.findings)


class Built:
    """A board with its frame and joists."""

    def __init__(self, board, frame, joists) -> None:
        self.board, self.frame, self.joists = board, frame, joists
